"""Everything that is written about a demonstration, its plots and its stages."""

from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.text import slugify
from django.utils.translation import gettext as _

from heritage.calc import measures
from heritage.common.rows import fill_in, lock
from heritage.season.models import (
    AreaMeasure,
    Demonstration,
    Plot,
    Stage,
    StageRecord,
)

SQUARE_METRES = {
    AreaMeasure.SQUARE_METRES: Fraction(1),
    AreaMeasure.HECTARES: Fraction(10_000),
    AreaMeasure.ACRES: measures.ACRE_M2,
    AreaMeasure.ROODS: measures.ROOD_M2,
    AreaMeasure.PERCHES: measures.PERCH_M2,
    AreaMeasure.IRISH_ACRES: measures.IRISH_ACRE_M2,
}


@transaction.atomic
def create_demonstration(*, now: datetime, **fields: Any) -> Demonstration:
    """Set up a demonstration under a short name of its own.

    Raises
    ------
    ValidationError
        By field, if a value cannot be: a latitude of 95, an unknown time zone.
    """
    slug = _free_slug(fields["name"], fields["year"])
    return fill_in(Demonstration(created_at=now, slug=slug), fields)


@transaction.atomic
def change_demonstration(
    *, demonstration: Demonstration, **fields: Any
) -> Demonstration:
    """Change what a demonstration says of itself; its address stays."""
    return fill_in(lock(demonstration), fields)


@transaction.atomic
def keep_plot(*, plot: Plot, area: Decimal, measure: str, **fields: Any) -> Plot:
    """Add or change a plot; its area is given in any of the measures.

    It is kept in square metres.

    Raises
    ------
    ValidationError
        By field, if the area is nothing or the name is taken.
    """
    area_m2 = to_square_metres(area, measure)
    return fill_in(plot, fields | {"area_m2": area_m2, "entered_in": measure})


@transaction.atomic
def record_stage(
    *,
    demonstration: Demonstration,
    stage: str,
    planned_from: date | None = None,
    planned_to: date | None = None,
    started_on: date | None = None,
    finished_on: date | None = None,
    note: str = "",
) -> StageRecord:
    """Write down when a stage is planned and when it was done, over what was there."""
    lock(demonstration)
    known = demonstration.stage_records.filter(stage=stage).first()
    record = known or StageRecord(demonstration=demonstration, stage=Stage(stage))
    if finished_on and not started_on:
        raise ValidationError({"started_on": _("Enter when it began, too.")})
    values = {
        "planned_from": planned_from,
        "planned_to": planned_to,
        "started_on": started_on,
        "finished_on": finished_on,
        "note": note,
    }
    return fill_in(record, values)


def to_square_metres(area: Decimal, measure: str) -> Decimal:
    """Return an area in square metres, to the square centimetre's hundredth.

    Raises
    ------
    ValidationError
        If the area is not above nothing.
    """
    if area <= 0:
        raise ValidationError({"area": _("Enter an area above 0.")})
    exact = measures.area_m2(area, acre_m2=SQUARE_METRES[AreaMeasure(measure)])
    return Decimal(round(exact * 100)) / 100


def in_measure(plot: Plot) -> Decimal:
    """Return a plot's area in the measure it was given in, to read or to edit."""
    each = Decimal(str(float(SQUARE_METRES[AreaMeasure(plot.entered_in)])))
    return (plot.area_m2 / each).quantize(Decimal("0.0001")).normalize()


def _free_slug(name: str, year: int) -> str:
    base = slugify(f"{name} {year}" if str(year) not in name else name)[:50]
    base = base or f"demonstration-{year}"
    taken = set(
        Demonstration.objects.select_for_update(no_key=True)
        .filter(slug__startswith=base)
        .values_list("slug", flat=True)
    )
    if base not in taken:
        return base
    return next(
        free for number in range(2, 10_000) if (free := f"{base}-{number}") not in taken
    )
