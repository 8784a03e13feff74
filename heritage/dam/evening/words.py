"""What is said of a filling evening, alike on page and paper."""

from collections.abc import Sequence
from datetime import date, datetime
from typing import Final

from django.utils.formats import date_format
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from heritage.calc._band import Band
from heritage.calc.filling import LoadWeight, Slowest
from heritage.dam.models import FillEvening

PACE_WORDS: Final[dict[Slowest, Promise]] = {
    Slowest.LOADING: gettext_lazy(
        "Loading sets the pace: more hands in the field help most."
    ),
    Slowest.CARTS: gettext_lazy("The carts set the pace: another cart helps most."),
    Slowest.PLACING: gettext_lazy(
        "Placing at the dam sets the pace: more hands there help most."
    ),
}


def hour(moment: datetime) -> str:
    """Write a moment's hour, as the clock there has it."""
    return f"{moment:%H:%M}"


def nothing_words() -> str:
    """Say that there is nothing to cart."""
    return _("Nothing of these lots is left in the field to cart.")


def part_words(came: int, left: int, loads: int) -> str:
    """Say what of a lot came, and what is to come."""
    words = ngettext(
        "%(came)d beets came, %(left)d to come in %(loads)d load",
        "%(came)d beets came, %(left)d to come in %(loads)d loads",
        loads,
    )
    return words % {"came": came, "left": left, "loads": loads}


def under_words(*, with_water: bool) -> str:
    """Say what counts as done: under water, or weighed down where it comes later."""
    return _("under water") if with_water else _("weighed down")


def water_late_words(hours: Band) -> str:
    """Say that the water alone takes longer than the light lasts."""
    words = _(
        "Nothing is under water by sunset: the water alone takes about %d hours. Let "
        "it in before the flax, or start sooner."
    )
    return words % round(hours.likely)


def all_came_words(under: str, likely: datetime, late: datetime) -> str:
    """Say that all is at the dam, and when it should be under."""
    words = _(
        "Every load is at the dam. Cover it and weigh it down: all %(under)s by about "
        "%(likely)s, at %(late)s at the latest."
    )
    return words % {"under": under, "likely": hour(likely), "late": hour(late)}


def dark_words(dark: datetime) -> str:
    """Say that work at the water is over for the day."""
    words = _(
        "Work at the water is over for the evening: sunset is at %s. Keep away from "
        "the dam, and go on by daylight."
    )
    return words % hour(dark)


def not_covered_words(under: str, dark: datetime) -> str:
    """Say that all is at the dam, and can't be sure to be under before dark."""
    words = _(
        "Every load is at the dam, but not all is sure to be %(under)s by sunset at "
        "%(dark)s. Everybody leaves the water then, done or not; go on another day."
    )
    return words % {"under": under, "dark": hour(dark)}


def all_under_words(spread: Sequence[datetime], dark: datetime | None) -> str:
    """Say when all is under; never a time after dark, when nobody is at the water."""
    early, likely, late = spread
    if dark is None or late <= dark:
        words = _("%(likely)s (%(early)s to %(late)s)")
        hours = {"early": hour(early), "likely": hour(likely), "late": hour(late)}
        return words % hours
    figures = {"dark": hour(dark)}
    if early > dark:
        return _("not before sunset at %(dark)s: a second evening is needed") % figures
    if likely > dark:
        words = _("by sunset at %(dark)s only if all goes well (%(early)s)")
        return words % (figures | {"early": hour(early)})
    words = _("about %(likely)s; if it goes slowly, not before sunset at %(dark)s")
    return words % (figures | {"likely": hour(likely)})


def stop_now_words(under: str, dark: datetime) -> str:
    """Say that it is time to stop carting."""
    words = _(
        "Stop carting. Cover and weigh down what is at the dam, so that all is "
        "%(under)s before %(dark)s. The rest stays in the stook."
    )
    return words % {"under": under, "dark": hour(dark)}


def fits_words(
    under: str, loads: int, spread: Sequence[datetime], dark: datetime | None
) -> str:
    """Say that all that is to come is under before dark, if work goes slowly too."""
    words = ngettext(
        "%(loads)d load to come: all %(under)s by about %(likely)s (%(early)s to "
        "%(late)s)",
        "%(loads)d loads to come: all %(under)s by about %(likely)s (%(early)s to "
        "%(late)s)",
        loads,
    )
    early, likely, late = (hour(one) for one in spread)
    told = words % {
        "under": under,
        "loads": loads,
        "likely": likely,
        "early": early,
        "late": late,
    }
    return told + (_("; sunset is at %s.") % hour(dark) if dark else ".")


def dark_first_words(
    under: str, sure: int, loads: int, leave_by: datetime | None, dark: datetime
) -> str:
    """Say how many loads are sure to be under, where dark comes before the last."""
    figures = {"under": under, "sure": sure, "loads": loads, "dark": hour(dark)}
    if sure == 0 or leave_by is None:
        words = _(
            "Not one of %(loads)d loads is sure to be %(under)s by sunset at %(dark)s. "
            "Take fewer beets, start sooner, or take a second evening."
        )
        return words % figures
    words = _(
        "%(sure)d of %(loads)d loads are sure to be %(under)s by sunset at %(dark)s. "
        "The last one leaves the field by %(leave)s. The rest waits for another "
        "evening."
    )
    return words % (figures | {"leave": hour(leave_by)})


def steps(evening: FillEvening) -> tuple[str, ...]:
    """Return the order of the work, by the organiser's own practice."""
    root_end = evening.dam.demonstration.get_root_end_display()
    place = _("Place the beets close together, in rows, %s.") % root_end
    keep = (
        _("The lots go in as one and can't be told apart later.")
        if evening.mixed
        else _("Keep each lot together, and mark with a stick where the next begins.")
    )
    cover = _("Cover them with rushes or straw, then with boards if there are any.")
    stones = _(
        "Slide, roll or lever the stones on, spread evenly. Lift no stone but those "
        "the stones page allows."
    )
    after = _("Everybody out of the dam. Then let the water in until all is covered.")
    first = _("The water is in before the flax. Nobody works in it alone.")
    last = _("Everybody out. Note when the water closed over the last beet.")
    if evening.water_first:
        return (first, place, keep, cover, stones, last)
    return (place, keep, cover, stones, after, last)


def weight_words(beets: int, weight: LoadWeight) -> str:
    """Say what a load weighs, dry and green."""
    words = _(
        "%(beets)d beets: about %(green)s kg green (%(green_low)s to %(green_high)s), "
        "%(dry)s kg dry (%(dry_low)s to %(dry_high)s)."
    )
    bands = {"green": weight.green, "dry": weight.dry}
    return words % {
        "beets": beets,
        **{name: _kg(band.likely) for name, band in bands.items()},
        **{f"{name}_low": _kg(band.low) for name, band in bands.items()},
        **{f"{name}_high": _kg(band.high) for name, band in bands.items()},
    }


def _kg(kg: float) -> str:
    step = 10 if kg >= 100 else 1
    return f"{round(kg / step) * step:,}"


def trip_words(way_min: float, load_min: Band, every: Band) -> str:
    """Say how long a round takes and how often a load comes, by reckoning."""
    words = _(
        "%(way).0f minutes each way and about %(load).0f to load, so a load every "
        "%(every).0f minutes (%(low).0f to %(high).0f)."
    )
    return words % {
        "way": max(1.0, way_min),
        "load": load_min.likely,
        "every": every.likely,
        "low": every.low,
        "high": every.high,
    }


def pace_words(gaps: int, pace: Band) -> str:
    """Say the pace that was measured, and what it rests on."""
    words = ngettext(
        "A load every %(every).0f minutes from here on (%(low).0f to %(high).0f), by "
        "%(gaps)d gap measured.",
        "A load every %(every).0f minutes from here on (%(low).0f to %(high).0f), by "
        "%(gaps)d gaps measured.",
        gaps,
    )
    figures = {"every": pace.likely, "low": pace.low, "high": pace.high}
    return words % (figures | {"gaps": gaps})


def hands_words(evening: FillEvening) -> str:
    """Say who is needed where, and that one of them only watches."""
    words = _(
        "%(all)d in all: %(load)d loading, %(carts)d driving and %(carts)d guiding, "
        "%(place)d placing at the dam, and 1 who only watches the water."
    )
    return words % {
        "all": evening.most_hands,
        "load": evening.loaders,
        "carts": evening.carts,
        "place": evening.placers,
    }


def water_words(
    evening: FillEvening, hours: Band | None, start: datetime, *, is_late: bool
) -> str:
    """Say how long the water takes, and what that means for the evening."""
    if hours is None:
        return _(
            "How long the water takes isn't known: measure what comes in. The times "
            "here leave it out."
        )
    span = {"hours": hours.likely, "low": hours.low, "high": hours.high}
    if evening.water_first:
        words = _(
            "In before the flax: about %(hours).1f hours (%(low).1f to %(high).1f), so "
            "let it in by %(start)s."
        )
        return words % (span | {"start": date_format(start, "l H:i")})
    words = _(
        "In after the flax: about %(hours).1f hours more (%(low).1f to %(high).1f), "
        "and the times here count them."
    )
    if is_late:
        words = _(
            "In after the flax: about %(hours).1f hours more (%(low).1f to "
            "%(high).1f), longer than the light lasts. The times here are for weighing "
            "down."
        )
    return words % span


def mixed_words(days: Sequence[date], *, mixed: bool) -> str:
    """Say what lots of different days mean for the ret: a warning, no refusal."""
    if len(days) < 2:
        return ""
    if mixed:
        return _(
            "Mixed, two days' pulling may ret at different speeds; printed advice "
            "is not to (Spon's Encyclopaedia). You chose it: they're one lot from then."
        )
    return _(
        "Pulled on different days: they may ret at different speeds, so each lot is "
        "tested by itself."
    )
