"""Flax spread on the grass, turned, tested and brought in."""

import uuid
from collections.abc import Mapping
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.common.rows import fill_in, lock
from heritage.fibre.grass.selectors import lies_in
from heritage.fibre.models import GrassEntry, GrassWeather, Spreading, SpreadLot, Way
from heritage.lots.models import Lot, Move, Place
from heritage.lots.selectors import can_go, stands
from heritage.lots.services import Amount, move, part
from heritage.people.models import User
from heritage.season.models import Demonstration


@transaction.atomic
def spread(
    *,
    demonstration: Demonstration,
    way: str,
    beets: Mapping[Lot, int],
    spread_at: datetime,
    where: str,
    by: User,
    now: datetime,
    area_m2: int | None = None,
    note: str = "",
) -> Spreading:
    """Write down that some lots were spread; of a part a lot of its own is made.

    Raises
    ------
    ValidationError
        If nothing is chosen, the moment has not come or lies before a lot was there,
        more is spread than was there, or a lot lies on the grass already.
    """
    lock(demonstration)
    chosen = {lot: count for lot, count in beets.items() if count}
    if not chosen:
        raise ValidationError(_("Enter how many beets of which lot were spread."))
    _refuse_future(spread_at, now, "spread_at")
    rows = Spreading(demonstration=demonstration, entered_by=by, entered_at=now)
    values = {"way": way, "spread_at": spread_at, "where": where.strip()}
    spreading = fill_in(rows, values | {"area_m2": area_m2, "note": note.strip()})
    for lot, count in chosen.items():
        whole = _whole(lot, spreading, count, by=by, now=now)
        fill_in(SpreadLot(spreading=spreading), {"lot": whole, "beets": count})
    return spreading


def _whole(
    lot: Lot, spreading: Spreading, beets: int, *, by: User, now: datetime
) -> Lot:
    """Return the lot that is spread, all of it on the grass now."""
    at, way = spreading.spread_at, Way(spreading.way)
    if lies_in(lot, at) is not None:
        raise ValidationError(_("%s is already on the grass.") % lot)
    # A lot that lies in two places is spread from where most of it is.
    place = max(way.places, key=lambda one: can_go(lot, one, at))
    there = can_go(lot, place, at)
    if beets > there:
        _refuse_more(lot, beets, place, there)
    if beets < there:
        amount = Amount(beets=beets)
        lot = part(lot=lot, place=place, amount=amount, at=at, by=by, now=now)
    if place is not Place.GRASS:
        amount = Amount(beets=beets)
        move(
            lot=lot, source=place, target=Place.GRASS, amount=amount,
            at=at, by=by, now=now,
        )  # fmt: skip
    return lot


def _refuse_more(lot: Lot, beets: int, place: Place, there: int) -> None:
    words = _(
        "%(lot)s had %(there)d beets %(place)s then, and this takes %(beets)d. Count "
        "again, or enter the earlier move first."
    )
    figures = {"lot": lot, "there": there, "place": place.label, "beets": beets}
    raise ValidationError(words % figures)


@transaction.atomic
def change_spreading(*, spreading: Spreading, values: Mapping[str, Any]) -> Spreading:
    """Change where a spreading lies, its area or its note."""
    return fill_in(lock(spreading), values)


@transaction.atomic
def remove_spreading(*, spreading: Spreading, now: datetime) -> None:
    """Take away a spreading that never was, with its lines.

    Raises
    ------
    ValidationError
        If its flax came out of the field or the store for it, or some came in since:
        that is corrected on the lot's page first.
    """
    lock(spreading.demonstration)
    lots = [row.lot for row in spreading.lots.in_order()]
    lying = {lot: stands(lot, Place.GRASS, now) for lot in lots}
    came_in = Move.objects.touching(lots).standing().filter(source=Place.GRASS)
    moved = came_in.exclude(target=Place.GRASS).filter(at__gte=spreading.spread_at)
    from_heap = spreading.way == Way.AFTER_DAM
    if moved.exists() or (not from_heap and any(lying.values())):
        words = _("Correct what was moved on the page of %s first.")
        raise ValidationError(words % ", ".join(str(lot) for lot in lots))
    spreading.entries.all().delete()
    spreading.lots.all().delete()
    spreading.delete()


@transaction.atomic
def write_entry(
    *, entry: GrassEntry, at: datetime, what: str, note: str, by: User, now: datetime
) -> GrassEntry:
    """Write down that a spreading was turned, set up or tested, or put that right.

    Raises
    ------
    ValidationError
        If the moment has not come, or it was not spread yet.
    """
    lock(entry.spreading)
    _refuse_future(at, now, "at")
    if at < entry.spreading.spread_at:
        raise ValidationError({"at": _("It wasn't spread yet. Enter a later time.")})
    if entry._state.adding:
        entry.entered_by = by
    entry.entered_at = now
    return fill_in(entry, {"at": at, "what": what, "note": note.strip()})


@transaction.atomic
def remove_entry(*, entry: GrassEntry) -> None:
    """Take a wrong line away."""
    lock(entry.spreading)
    entry.delete()


@transaction.atomic
def keep_weather(
    *,
    demonstration: Demonstration,
    day: date,
    wet: str,
    mean_c: Decimal | None,
    today: date,
) -> GrassWeather:
    """Write down how wet and warm a day was; what was said before is replaced.

    Raises
    ------
    ValidationError
        If the day has not come.
    """
    lock(demonstration)
    if day > today:
        raise ValidationError(
            {"day": _("That day is in the future. Enter an earlier one.")}
        )
    row = GrassWeather.objects.of(demonstration).filter(day=day).first()
    row = row or GrassWeather(demonstration=demonstration, day=day)
    return fill_in(row, {"wet": wet, "mean_c": mean_c})


@transaction.atomic
def bring_in(
    *,
    spreading: Spreading,
    beets: Mapping[Lot, int],
    at: datetime,
    by: User,
    now: datetime,
    note: str = "",
    key: uuid.UUID | None = None,
) -> list[Move]:
    """Write down that flax was brought in from the grass to the store.

    Raises
    ------
    ValidationError
        If nothing is chosen, it was not spread yet, or as for a move.
    """
    lock(spreading.demonstration)
    chosen = {lot: count for lot, count in beets.items() if count}
    if not chosen:
        raise ValidationError(_("Enter how many beets of which lot came in."))
    if at < spreading.spread_at:
        raise ValidationError({"at": _("It wasn't spread yet. Enter a later time.")})
    key = key or uuid.uuid4()
    return [
        move(
            lot=lot, source=Place.GRASS, target=Place.STORE, amount=Amount(beets=count),
            at=at, by=by, now=now, note=note, key=uuid.uuid5(key, str(lot.pk)),
        )
        for lot, count in chosen.items()
    ]  # fmt: skip


def _refuse_future(moment: datetime, now: datetime, field: str) -> None:
    if moment > now:
        raise ValidationError(
            {field: _("That time is in the future. Enter an earlier one.")}
        )
