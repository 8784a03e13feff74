"""Explain a word of the trade where it first stands, on a tap and without a script."""

import re
from collections.abc import Iterator
from functools import cache
from typing import Any

from django import template
from django.template.base import NodeList, Parser, Token
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language

from heritage.season.glossary.words import FORMS, MEANINGS

register = template.Library()

TAG = re.compile(r"(<!--.*?-->|<(/?)(\w+)[^>]*>)", re.S)
EXPLAINED = re.compile(r'id="(?:word|told)-(\w+)"')
UNREAD = 'aria-hidden="true"'
# Where no word opens: what is pressed already, names a thing, or isn't read.
CLOSED = frozenset(
    [
        "a", "button", "datalist", "dt", "figcaption", "h1", "h2", "h3", "label",
        "legend", "noscript", "option", "script", "select", "style", "summary", "svg",
        "template", "textarea", "th", "title",
    ]
)  # fmt: skip


@register.simple_tag
def word(code: str, said: str = "") -> SafeString:
    """Write a word that opens what it means: once a page, since it takes an id.

    ``said`` is the form that the sentence needs.
    """
    name, meaning = MEANINGS[code]
    return format_html(
        '<button type="button" class="word" popovertarget="word-{0}">{1}</button>'
        '<span class="meaning" id="word-{0}" popover>{2}</span>',
        code,
        said or name,
        meaning,
    )


@register.filter
def explained(text: str, codes: str) -> SafeString:
    """Let the first of these words in a text open what it means: once a page.

    ``codes`` are written with commas, as ``beet,dam``. The word opens under an id of
    its own, so the page may have the same word elsewhere by ``word``.
    """
    known = {str(MEANINGS[code][0]): code for code in codes.split(",")}
    found = re.search(rf"\b({'|'.join(map(re.escape, known))})s?\b", text)
    if found is None:
        return format_html("{}", text)
    code = known[found[1]]
    return format_html(
        '{0}<button type="button" class="word" popovertarget="told-{1}">{2}</button>'
        '<span class="meaning" id="told-{1}" popover>{3}</span>{4}',
        text[: found.start()],
        code,
        found[0],
        MEANINGS[code][1],
        text[found.end() :],
    )


@register.tag
def words_open(parser: Parser, token: Token) -> template.Node:
    """Let each word of the trade open where the part up to its end first says it."""
    nodes = parser.parse(["endwords_open"])
    parser.delete_first_token()
    return WordsOpen(nodes)


class WordsOpen(template.Node):
    def __init__(self, nodelist: NodeList) -> None:
        self.nodelist = nodelist

    def render(self, context: Any) -> SafeString:
        html = self.nodelist.render(context)
        return mark_safe(with_words_open(html))  # noqa: S308 - it was made by templates


def with_words_open(html: str) -> str:
    """Return a page's part whose words open, each once: unfolded, if it stands so.

    The meanings stand at its end, so that no sentence is parted by one.
    """
    said: dict[str, re.Match[str]] = {}
    folded: dict[str, re.Match[str]] = {}
    ready = set(EXPLAINED.findall(html))
    for start, end, is_folded in _texts(html):
        for found in _forms(get_language()).finditer(html, start, end):
            first = folded if is_folded else said
            first.setdefault(_codes(get_language())[found[0].lower()], found)
    firsts = {
        code: found for code, found in (folded | said).items() if code not in ready
    }
    for code, found in sorted(firsts.items(), key=lambda one: -one[1].start()):
        html = html[: found.start()] + _button(code, found[0]) + html[found.end() :]
    return html + "".join(map(_meaning, firsts))


def _texts(html: str) -> Iterator[tuple[int, int, bool]]:
    """Yield from where to where words may open, and whether that is folded away."""
    closed = folded = hidden = 0
    start = 0
    for tag in TAG.finditer(html):
        if not closed and not hidden and tag.start() > start:
            yield start, tag.start(), bool(folded)
        start = tag.end()
        step = -1 if tag[2] else 1
        closed += step * (tag[3] in CLOSED)
        folded += step * (tag[3] == "details")
        # A part that is not read aloud has nothing to press: it is a div.
        if tag[3] == "div" and (hidden or UNREAD in tag[0]):
            hidden += step
    if not closed:
        yield start, len(html), bool(folded)


@cache
def _codes(language: str) -> dict[str, str]:
    """Return the code of each form of a word, as this language writes it."""
    return {
        form.strip().lower(): code
        for code, forms in FORMS.items()
        for form in str(forms).split(",")
    }


@cache
def _forms(language: str) -> re.Pattern[str]:
    forms = sorted(_codes(language), key=len, reverse=True)
    return re.compile(rf"\b(?:{'|'.join(map(re.escape, forms))})\b(?!-)", re.I)


def _button(code: str, said: str) -> str:
    return format_html(
        '<button type="button" class="word" popovertarget="told-{}">{}</button>',
        code,
        mark_safe(said),  # noqa: S308 - it stands in the page already
    )


def _meaning(code: str) -> str:
    meaning = MEANINGS[code][1]
    return format_html(
        '<span class="meaning" id="told-{}" popover>{}</span>', code, meaning
    )
