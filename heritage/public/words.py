"""What visitors read: how things stand, in the fewest plain words."""

from datetime import date, datetime
from typing import Final

from django.utils.formats import date_format
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

# Shares as people say them, in hundredths.
SHARES: Final[tuple[tuple[int, Promise], ...]] = (
    (0, gettext_lazy("none")),
    (10, gettext_lazy("a tenth")),
    (20, gettext_lazy("a fifth")),
    (25, gettext_lazy("a quarter")),
    (33, gettext_lazy("a third")),
    (40, gettext_lazy("two fifths")),
    (50, gettext_lazy("half")),
    (60, gettext_lazy("three fifths")),
    (67, gettext_lazy("two thirds")),
    (75, gettext_lazy("three quarters")),
    (80, gettext_lazy("four fifths")),
    (90, gettext_lazy("nine tenths")),
    (100, gettext_lazy("all")),
)
# A range wider than this says nothing.
TOO_WIDE: Final = 60


def share(percent: int) -> str:
    """Say a share as people do."""
    if 0 < percent < 5:
        return _("a little")
    if 95 < percent < 100:
        return _("nearly all")
    nearest = min(SHARES, key=lambda known: abs(known[0] - percent))
    return str(nearest[1])


def pulled(low: int, high: int) -> str:
    """Say how much is pulled, as closely as it is known."""
    if high == 0:
        return _("All of it still stands")
    if low == 100:
        return _("All of it is pulled")
    first, last = share(low), share(high)
    if first == last:
        return _("About %s is pulled") % first
    if high - low > TOO_WIDE:
        return _("How much of the field that is, we can't say yet")
    return _("Somewhere between %(first)s and %(last)s is pulled") % {
        "first": first,
        "last": last,
    }


def hands_wanted(*, places: int, short: int, free: int) -> str:
    """Say whether helpers are wanted at a gathering."""
    if not places:
        return _("Just come")
    if short:
        words = ngettext("One more needed", "%(short)d more needed", short)
        return words % {"short": short}
    if not free:
        return _("Full. There's a waiting list")
    return ngettext("Room for one more", "Room for %(free)d", free) % {"free": free}


def when(starts: datetime, today: date) -> str:
    """Say when something begins, by the day as people say it."""
    clock, apart = f"{starts:%H:%M}", (starts.date() - today).days
    if apart == 0:
        part = _("tonight at %s") if starts.hour >= 17 else _("today at %s")
        return part % clock
    if apart == 1:
        return _("tomorrow at %s") % clock
    return _("on %(day)s at %(clock)s") % {
        "day": date_format(starts, "l j F"),
        "clock": clock,
    }


def stage_day(
    state: str, first: date | None, last: date | None, planned: date | None
) -> str:
    """Say when a stage was, or is to be, in two or three words."""
    if state == "done" and last:
        return date_format(last, "j F")
    if state == "going" and first:
        return _("since %s") % date_format(first, "j F")
    if state == "planned" and planned:
        return _("from %s") % date_format(planned, "j F")
    return ""
