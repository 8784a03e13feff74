"""Everything that is written about a growing crop.

The day a plot was sown stands with the plot itself (`season.models.Plot.sown_on`), and
is written here and in the set-up alike. What is unusual is said and never refused; what
cannot be is refused: a day that has not come, a crop seen before it was sown.
"""

import uuid
from collections.abc import Mapping
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models, transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from heritage.calc.crop import BUSHEL_PER_ACRE_KG_HA
from heritage.common.rows import fill_in, lock
from heritage.growth.models import Observation, Sowing
from heritage.people.models import User
from heritage.season.models import Plot

MOST_COUNTS, MOST_IN_FRAME = 60, 20_000
HECTARE_M2 = 10_000


class RateMeasure(models.TextChoices):
    """The measure in which seed was given; it is kept in kilograms a hectare."""

    WHOLE_PLOT = "plot", gettext_lazy("kg on the whole plot")
    SQUARE_METRE = "g_m2", gettext_lazy("grams a square metre")
    HECTARE = "kg_ha", gettext_lazy("kg a hectare")
    BUSHELS = "bu_acre", gettext_lazy("bushels an acre (of 56 lb)")


@transaction.atomic
def keep_sowing(
    *,
    plot: Plot,
    sown_on: date | None,
    seed: Decimal | None,
    seed_in: str,
    values: Mapping[str, Any],
) -> Sowing:
    """Write down how a plot was sown, over what was there.

    Raises
    ------
    ValidationError
        By field, if a value cannot be, or something was seen of the crop before it
        was sown.
    """
    lock(plot.demonstration)
    plot = Plot.objects.get(pk=plot.pk)
    earliest = plot.observations.in_order().first()
    if sown_on and earliest and earliest.seen_on < sown_on:
        words = _("Something was seen of this crop on %s already.")
        raise ValidationError({"sown_on": words % f"{earliest.seen_on:%d.%m.%Y}"})
    fill_in(plot, {"sown_on": sown_on})
    known = Sowing.objects.filter(plot=plot).first()
    rate = None if seed is None else to_kg_per_ha(seed, seed_in, plot)
    return fill_in(known or Sowing(plot=plot), {**values, "kg_per_ha": rate})


def to_kg_per_ha(seed: Decimal, measure: str, plot: Plot) -> Decimal:
    """Return an amount of seed in kilograms a hectare, to the tenth.

    Raises
    ------
    ValidationError
        If it is not above nothing, or far too much.
    """
    if seed <= 0:
        raise ValidationError({"seed": _("Enter a weight of seed above 0.")})
    each = {
        RateMeasure.WHOLE_PLOT: HECTARE_M2 / Fraction(plot.area_m2),
        RateMeasure.SQUARE_METRE: Fraction(10),
        RateMeasure.HECTARE: Fraction(1),
        RateMeasure.BUSHELS: Fraction(BUSHEL_PER_ACRE_KG_HA),
    }[RateMeasure(measure)]
    rate = Decimal(round(Fraction(seed) * each * 10)) / 10
    if not 0 < rate <= 2000:
        words = _("That is %s kg a hectare; about 100 is usual. Is the measure right?")
        raise ValidationError({"seed": words % rate})
    return rate


@transaction.atomic
def observe(
    *,
    plot: Plot,
    seen_on: date,
    by: User,
    now: datetime,
    values: Mapping[str, Any],
    key: uuid.UUID | None = None,
) -> Observation:
    """Write down what was seen of a plot; the same key twice is the same observation.

    Raises
    ------
    ValidationError
        By field, if nothing is said, the day has not come or lies before the sowing,
        or a value cannot be.
    """
    lock(plot.demonstration)
    key = key or uuid.uuid4()
    if earlier := Observation.objects.filter(key=key).first():
        return earlier
    row = Observation(plot=plot, by=by, entered_at=now, key=key)
    return _seen(row, {**values, "seen_on": seen_on}, now)


@transaction.atomic
def change_observation(
    *, observation: Observation, values: Mapping[str, Any], now: datetime
) -> Observation:
    """Change what an observation says.

    Raises
    ------
    ValidationError
        As for a new one.
    """
    lock(observation.plot.demonstration)
    return _seen(observation, values, now)


@transaction.atomic
def remove_observation(*, observation: Observation) -> None:
    """Take an observation away."""
    lock(observation.plot.demonstration)
    observation.delete()


def _seen(row: Observation, values: Mapping[str, Any], now: datetime) -> Observation:
    plot = values.get("plot", row.plot)
    _require_day(plot, values["seen_on"], now)
    _require_counts(values.get("counts", row.counts))
    return fill_in(row, values)


def _require_day(plot: Plot, day: date, now: datetime) -> None:
    if day > now.astimezone(plot.demonstration.zone).date():
        raise ValidationError(
            {"seen_on": _("That day is in the future. Enter an earlier one.")}
        )
    if plot.sown_on and day < plot.sown_on:
        words = _("This plot was sown on %s, after that day.")
        raise ValidationError({"seen_on": words % f"{plot.sown_on:%d.%m.%Y}"})


def _require_counts(counts: list[int]) -> None:
    if len(counts) > MOST_COUNTS:
        words = _("At most %d counts at once.")
        raise ValidationError({"counts": words % MOST_COUNTS})
    if any(not 0 <= count <= MOST_IN_FRAME for count in counts):
        raise ValidationError({"counts": _("Enter a whole number, like 12.")})
