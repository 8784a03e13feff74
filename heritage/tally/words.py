"""How much of the field is pulled, as people say it."""

from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

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
# A range no wider than this is said as one share, and itself when asked.
CLOSE: Final = 15
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
    if high - low <= CLOSE:
        return _("About %s is pulled") % share(round((low + high) / 2))
    if high - low > TOO_WIDE:
        return _("How much of the field that is, we can't say yet")
    return _("Between %(first)s and %(last)s is pulled") % {
        "first": first,
        "last": last,
    }
