"""What sets the end of an evening's light, in words."""

from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from heritage.calc.daylight import End, WhyItEnds

_ENDS: Final[dict[WhyItEnds, str | Promise]] = {
    WhyItEnds.DUSK: gettext_lazy("dark (%(at)s)"),
    WhyItEnds.DUSK_BEHIND_SKYLINE: gettext_lazy("dark behind the skyline (%(at)s)"),
    WhyItEnds.LATEST_TIME: gettext_lazy("the latest finishing time (%(at)s)"),
    WhyItEnds.NO_DARK: gettext_lazy("the end of the day: it doesn't get dark tonight"),
}


def why_it_ends(end: End) -> str:
    """Say what sets the end, and how long before it work stops."""
    words = str(_ENDS[end.code]) % {"at": f"{end.at:%H:%M}" if end.at else ""}
    if not end.margin_min:
        return words
    lead = _("%(minutes)d minutes before %(end)s")
    return lead % {"minutes": end.margin_min, "end": words}
