"""Open a figure where it stands: its inputs, its rule, its source, how sure it is."""

from collections.abc import Mapping
from datetime import date, datetime, time
from typing import Any

from django import template
from django.template.loader import render_to_string
from django.utils.formats import date_format
from django.utils.safestring import SafeString
from django.utils.text import capfirst
from django.utils.timezone import localtime
from django.utils.translation import gettext as _

from heritage.calc._band import Band
from heritage.calc.figures import RULES, Figure, Input, opened
from heritage.season.opening.words import INPUTS, SOURCES, SURE, UNITS, WORDS

register = template.Library()


@register.simple_block_tag
def opens(
    content: str,
    figure: str,
    known: Mapping[str, Any] | None = None,
    *,
    counted: bool = False,
    unfolded: Any = False,
    **inputs: Any,
) -> SafeString:
    """Fold what stands behind a figure away, with what the page itself says of it.

    ``{% opens "light" day=light.day %}{% endopens %}``; what a rule takes stands in
    `calc.figures`, and of ``known`` it takes what it can.
    """
    takes = RULES[Figure(figure)].takes
    given = {name: value for name, value in (known or {}).items() if name in takes}
    opening = opened(figure, {**given, **inputs}, counted=bool(counted))
    name, rule = WORDS[opening.figure]
    context = {
        "figure": opening.figure,
        "unfolded": unfolded,
        "name": name,
        "rule": rule,
        "content": SafeString(content.strip()),
        "inputs": [(INPUTS[one.name], said(one)) for one in opening.inputs],
        "sources": capfirst("; ".join(str(SOURCES[one]) for one in opening.sources)),
        "sure": SURE[opening.sure],
    }
    return SafeString(render_to_string("season/_opening.html", context))


def said(one: Input) -> str:
    """Write an input with its unit, and its range where it has one."""
    if isinstance(one.value, Band):
        words = _("%(likely)s (%(low)s to %(high)s)") % {
            end: _number(getattr(one.value, end)) for end in ("low", "likely", "high")
        }
    else:
        words = _plain(one.value)
    return str(UNITS[one.unit]) % words if one.unit in UNITS else words


def _plain(value: Any) -> str:
    """Write one value as people say it."""
    if isinstance(value, datetime):
        return date_format(localtime(value), "D j M, H:i")
    if isinstance(value, date):
        return date_format(value, "D j M")
    if isinstance(value, str | time):
        return str(value)
    return _number(float(value))


def _number(value: float) -> str:
    """Write a number with as many places as it is worth."""
    places = 0 if abs(value) >= 100 else 1 if abs(value) >= 10 else 2
    text = f"{value:,.{places}f}"
    return text.rstrip("0").rstrip(".") if places else text
