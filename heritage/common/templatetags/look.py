"""Small helpers for what a page looks like; no trade words and no queries."""

from django import template
from django.contrib.staticfiles import finders
from django.templatetags.static import static

from heritage.common.management.commands.build_fonts import SHEET

register = template.Library()


@register.simple_tag
def built_fonts() -> str:
    """Return the address of the font sheet, or nothing until it has been built."""
    return static(SHEET) if finders.find(SHEET) else ""


@register.filter
def dial(number: str) -> str:
    """Return a number as a telephone takes it: digits, and a plus before."""
    return "".join(mark for mark in number if mark.isdigit() or mark == "+")
