"""Explain a word of the trade where it first stands, on a tap and without a script."""

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
