"""What visitors read: how things stand, in the fewest plain words."""

from collections.abc import Mapping
from datetime import datetime
from typing import Final

from django.utils.formats import date_format
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

# Who a guide is for, by the end of its address.
GUIDES: Final[Mapping[str, Promise]] = {
    "volunteer": gettext_lazy("Helping in the field"),
    "lead": gettext_lazy("Leading an evening"),
    "organiser": gettext_lazy("Organising"),
}
# What a page is for, said until it is put away; none where cautions stand.
HINTS: Final[Mapping[str, Promise]] = {
    "desk:today": gettext_lazy(
        "Today shows what to do now, the most pressing first. Each line opens the "
        "page that does it."
    ),
    "desk:harvest": gettext_lazy(
        "Proposed evenings are only an idea. Nothing is posted until you press."
    ),
    "desk:season": gettext_lazy("Each step from seed to fibre is here."),
    "gatherings:list": gettext_lazy(
        "Open an evening to see who's coming or to take a place."
    ),
    "growth:growing": gettext_lazy(
        "Add what you see of the crop: it helps us pick the day to pull."
    ),
    "lots:list": gettext_lazy(
        "A lot is what was pulled together. Follow it from the field to the fibre."
    ),
    "people:list": gettext_lazy(
        "Everybody is here, with an account or without. Add people who have no "
        "e-mail yourself."
    ),
    "people:me": gettext_lazy(
        "Your evenings, your beets, your children and your calendar are all here."
    ),
    "tally:board": gettext_lazy(
        "Every beet tied is counted here, and how much of the field is done."
    ),
    "fibre:after_dam": gettext_lazy(
        "What's on the grass, in the store and being worked."
    ),
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
