"""Small helpers for what a page looks like; no trade words and no queries."""

from collections.abc import Iterable
from typing import Any

from django import template
from django.contrib.staticfiles import finders
from django.templatetags.static import static
from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from heritage.common import parting, sketches, stylesheet

register = template.Library()

FACES = (
    "look/fonts/bitter-700.woff2",
    "look/fonts/fira-sans-400.woff2",
    "look/fonts/fira-sans-600.woff2",
)


@register.simple_tag
def styles() -> str:
    """Return the address of the one style sheet: another whenever a style changes."""
    return reverse("common:styles", args=[stylesheet.version()])


@register.simple_tag
def faces() -> list[str]:
    """Return the addresses of the letters a page is read in: only those that are there.

    The browser asks for them at once, so that they come before the first word.
    """
    return [static(name) for name in FACES if finders.find(name)]


@register.filter
def dial(number: str) -> str:
    """Return a number as a telephone takes it: digits, and a plus before."""
    return "".join(mark for mark in number if mark.isdigit() or mark == "+")


@register.filter
def unbroken(number: str) -> str:
    """Return a number that is never torn apart at the end of a line."""
    return number.replace(" ", "\N{NO-BREAK SPACE}")


@register.filter(is_safe=True)
def on_one_line(text: str) -> str:
    """Return text with one space where a template had lines."""
    return " ".join(text.split())


@register.simple_tag
def sketch(name: str) -> SafeString:
    """Draw a mark, an ornament to the word that stands beside it."""
    if name not in sketches.names():
        raise template.TemplateSyntaxError(f"There is no mark called {name!r}.")
    return format_html(
        '<svg class="sketch" viewBox="0 0 64 64" width="48" height="48"'
        ' aria-hidden="true" focusable="false">{}</svg>',
        mark_safe(sketches.strokes(name)),  # noqa: S308 - a file of ours
    )


@register.filter
def parted(rows: Iterable[Any], named_by: str = "") -> list[parting.Part[Any]]:
    """Part a long list by name: the first ten at hand, each ten more to be folded.

    ``named_by`` is what of a row says its name, if it does not itself.
    """
    return parting.parted(rows, lambda row: str(getattr(row, named_by, row)))


@register.filter
def parted_tall(rows: Iterable[Any], named_by: str = "") -> list[parting.Part[Any]]:
    """Part a list whose rows take much room: the first four at hand."""
    return parting.parted(
        rows, lambda row: str(getattr(row, named_by, row)), is_tall=True
    )


@register.filter
def in_two(text: str) -> tuple[str, str]:
    """Part a long text: what is read at once, and what is folded."""
    return parting.in_two(text)
