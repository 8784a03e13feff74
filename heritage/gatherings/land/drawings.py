"""The land as a heading, drawn for the page."""

from datetime import datetime

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from heritage.gatherings.land.selectors import Land
from heritage.kits.charts.evening import clock_hours
from heritage.kits.charts.strip import Hours, Strip, StripWords, strip_svg

# How much of the time before and after stands at the ends. [h]
ASIDE = 0.6


def land_svg(land: Land | None) -> SafeString:
    """Return the strip as markup; the kit escapes every word in it."""
    if land is None:
        return SafeString()
    strip = Strip(
        least=1 - land.field.high_percent / 100,
        most=1 - land.field.low_percent / 100,
        stooks=land.field.stooks,
        hours=_hours(land),
        words=_words(land),
    )
    return mark_safe(strip_svg(strip))  # noqa: S308


def _hours(land: Land) -> Hours:
    def at(moment: datetime | None) -> float | None:
        return clock_hours(moment, land.light.day) if moment else None

    sun, stop = (at(land.sun.sunrise), at(land.sun.sunset)), at(land.light.stop)
    now, starts, ends = at(land.now), at(land.starts), at(land.ends)
    shown = [one for one in (now, starts, ends, stop) if one is not None]
    if not land.is_near:
        shown += [one for one in sun if one is not None]
    first, last = (min(shown), max(shown)) if shown else (6.0, 21.0)
    return Hours(first - ASIDE, last + ASIDE, *sun, now, starts, ends, stop)


def _words(land: Land) -> StripWords:
    is_ahead = land.starts and (land.now is None or land.now < land.starts)
    stop = land.light.stop
    return StripWords(
        told=land.words,
        start=_("start %s") % f"{land.starts:%H:%M}" if is_ahead else "",
        stop=_("stop %s") % f"{stop:%H:%M}" if stop else "",
    )
