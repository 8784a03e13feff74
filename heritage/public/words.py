"""What visitors read: how things stand, in the fewest plain words."""

from datetime import datetime

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext


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


def when(starts: datetime, ends: datetime, now: datetime) -> str:
    """Say when something begins, by the day as people say it; all in one zone."""
    if starts <= now:
        return _("now, until %s") % f"{ends:%H:%M}"
    clock, apart = f"{starts:%H:%M}", (starts.date() - now.date()).days
    if apart == 0:
        part = _("tonight at %s") if starts.hour >= 17 else _("today at %s")
        return part % clock
    if apart == 1:
        return _("tomorrow at %s") % clock
    return _("on %(day)s at %(clock)s") % {
        "day": date_format(starts, "l j F"),
        "clock": clock,
    }
