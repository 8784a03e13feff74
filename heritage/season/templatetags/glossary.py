"""Explain a word of the trade where it first stands, on a tap and without a script."""

import re

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from heritage.season.glossary.words import MEANINGS

register = template.Library()


@register.simple_tag
def word(code: str, said: str = "") -> SafeString:
    """Write a word that opens what it means: once a page, since it takes an id.

    ``said`` is the form that the sentence needs; a word that needs no explanation is
    written as it is.
    """
    if said and code not in MEANINGS:
        return format_html("{}", said)
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
