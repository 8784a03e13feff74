"""What the figures of the harvest say, in words."""

from datetime import date
from typing import Final

from django.utils.formats import date_format
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as lazy
from django.utils.translation import ngettext

from heritage.calc.harvest import Limit

# Nearer than this to none or all, no number of chances is said.
ALMOST = 0.05

LIMIT_WORDS: Final[dict[Limit, str | Promise]] = {
    Limit.LIGHT: lazy("The evenings go dark before their time is up. Begin earlier."),
    Limit.WEATHER: lazy(
        "The weather holds it back most. More evenings give it more chances to be dry."
    ),
    Limit.HANDS: lazy("There are too few hands. Ask more people to pull."),
    Limit.CARTS: lazy("The carts can't keep up with the pulling."),
    Limit.ROOM: lazy("There isn't enough room in the dam in time."),
    Limit.WINDOW: lazy("The days on which the crop is fit to pull are too few."),
}


def in_ten(chance: float) -> str:
    """Write a chance as people say it."""
    if chance < ALMOST:
        return _("almost none")
    if chance > 1 - ALMOST:
        return _("almost certain")
    return _("%d in 10") % tenths(chance)


def tenths(chance: float) -> int:
    """Return a chance as so many in ten, never none and never all."""
    return min(9, max(1, round(10 * chance)))


def risen(before: float, after: float) -> str:
    """Say how a chance changes."""
    one, other = in_ten(before), in_ten(after)
    says_tenths = min(before, after) >= ALMOST and max(before, after) <= 1 - ALMOST
    if one == other:
        return _("a little more than %s") % one if says_tenths else _("a little better")
    return _("%(other)s, up from %(one)s") % {"one": one, "other": other}


def chance_sentence(chance: float, last: date, *, has_dam: bool) -> str:
    """Say how likely the harvest is to be in time, and by when."""
    by = date_format(last, "l j F")
    what = _("pull the field while it's fit, by %s") % by
    if has_dam:
        what = _("%s, and get it under water in time") % what
    if chance < ALMOST:
        words = _("As posted, there's almost no chance to %s.")
        return words % what
    if chance > 1 - ALMOST:
        return _("As posted, you'll almost certainly %s.") % what
    words = ngettext(
        "As posted, there is about %(tenths)d chance in 10 to %(what)s.",
        "As posted, there are about %(tenths)d chances in 10 to %(what)s.",
        tenths(chance),
    )
    return words % {"tenths": tenths(chance), "what": what}


def over_sentence(last: date, left: int) -> str:
    """Say that the window is past, and what still stands."""
    if not left:
        return _("The field is likely pulled: by its estimate nothing is left.")
    words = ngettext(
        "The crop was likely fit to pull until %(day)s, and about %(left)d beet still "
        "stands.",
        "The crop was likely fit to pull until %(day)s, and about %(left)d beets still "
        "stand.",
        left,
    )
    return words % {"day": date_format(last, "l j F"), "left": left}


def planned_sentence(pulled: float, under_water: float, *, has_dam: bool) -> str:
    """Say what the chance is with what is proposed."""
    if has_dam and in_ten(pulled) != in_ten(under_water):
        words = _(
            "With the evenings proposed here, the chance to have it pulled is "
            "%(pulled)s, and to get it under water too, %(both)s."
        )
        return words % {"both": in_ten(under_water), "pulled": in_ten(pulled)}
    return _("With the evenings proposed here: %s.") % in_ten(under_water)


def limit_words(limit: Limit, room_short: int) -> str:
    """Say what holds the harvest back, and how much room is lacking if that is it."""
    said = str(LIMIT_WORDS[limit])
    if limit is Limit.ROOM and room_short:
        more = _("That is about %d beets too many.") % room_short
        return f"{said} {more}"
    return said


def days_list(days: tuple[date, ...]) -> str:
    """Name days one after another: Wed 12 Aug, Thu 13 Aug and Fri 14 Aug."""
    *before, last = (date_format(day, "D j M") for day in days)
    if not before:
        return last
    return _("%(days)s and %(last)s") % {"days": ", ".join(before), "last": last}
