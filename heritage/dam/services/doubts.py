"""Readings that water could hardly give: asked about before they are stored."""

from collections.abc import Iterable
from datetime import datetime, timedelta
from decimal import Decimal
from typing import NamedTuple

from django.utils.translation import gettext as _

from heritage.calc import water


class Read(NamedTuple):
    """A moment and the temperature then."""

    at: datetime
    temp_c: Decimal


def doubt(read: Read, neighbours: Iterable[Read]) -> str:
    """Say why a reading can hardly be, beside those before and after; or nothing."""
    if water.could_be_fahrenheit(float(read.temp_c)):
        said = {
            "temp": read.temp_c,
            "celsius": f"{water.to_celsius(float(read.temp_c)):.1f}",
        }
        words = _("Is that in °F? %(temp)s °F is %(celsius)s °C.")
        return words % said
    if read.temp_c > water.WARMEST_C:
        return _("%s °C is warmer than a dam gets. Read it again.") % read.temp_c
    for other in neighbours:
        apart = abs(read.at - other.at)
        change = abs(float(read.temp_c - other.temp_c))
        if change > water.most_change(apart / timedelta(hours=1)):
            return _jump(read, other, apart)
    return ""


def _jump(read: Read, other: Read, apart: timedelta) -> str:
    hours = round(apart / timedelta(hours=1), 1)
    said = {
        "temp": read.temp_c,
        "other": other.temp_c,
        "hours": f"{hours:g}",
        "when": _("earlier") if other.at < read.at else _("later"),
    }
    words = _(
        "%(temp)s °C, and %(other)s °C %(hours)s hours %(when)s: water hardly changes "
        "so fast. Read it again."
    )
    return words % said
