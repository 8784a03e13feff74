"""Readings of the water: typed at the dam, or out of a logger's file."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.dam.models import Reading, ReadingSource, Ret
from heritage.dam.services.logger_file import Line, read_file
from heritage.people.models import User

BATCH = 500


@dataclass(frozen=True, slots=True)
class Preview:
    """Every line of a file with its verdict; nothing of it is kept yet."""

    lines: tuple[Line, ...]

    @property
    def good(self) -> tuple[Line, ...]:
        return tuple(line for line in self.lines if line.is_good)

    @property
    def bad(self) -> tuple[Line, ...]:
        return tuple(line for line in self.lines if not line.is_good)

    @property
    def rows(self) -> list[tuple[datetime, Decimal]]:
        """What would be kept."""
        return [
            (line.at, line.temp_c)
            for line in self.good
            if line.at and line.temp_c is not None
        ]


@dataclass(frozen=True, slots=True)
class Imported:
    """What an import came to."""

    added: int
    already: int


@transaction.atomic
def add_reading(
    *, ret: Ret, at: datetime, temp_c: Decimal, user: User, now: datetime
) -> Reading:
    """Keep one reading that somebody typed.

    Raises
    ------
    ValidationError
        If the flax was not under water then, the moment has not come or has a
        reading, or no water is as cold or as hot as that.
    """
    ret = Ret.objects.select_for_update().get(pk=ret.pk)
    why_not = _out_of_time(ret, at, now)
    if why_not:
        raise ValidationError({"at": why_not})
    if Reading.objects.in_ret(ret).at_moment(at).exists():
        raise ValidationError({"at": _("There is a reading for that moment.")})
    reading = Reading(
        ret=ret, at=at, temp_c=temp_c, source=ReadingSource.TYPED, entered_by=user
    )
    reading.full_clean()
    reading.save()
    return reading


def preview_readings(*, ret: Ret, data: bytes, now: datetime) -> Preview:
    """Judge every line of a logger's file. Nothing is written.

    Raises
    ------
    ValidationError
        If the file as a whole cannot be taken.
    """
    lines = read_file(data, zone=ret.dam.demonstration.zone)
    recorded = Reading.objects.in_ret(ret).moments()
    first_seen: dict[datetime, int] = {}
    judged = []
    for line in lines:
        why_not = line.why_not
        if line.at and not why_not:
            why_not = _verdict(line.at, ret, now, first_seen, recorded)
        if line.at and not why_not:
            first_seen[line.at] = line.number
        judged.append(replace(line, why_not=why_not))
    return Preview(tuple(judged))


@transaction.atomic
def import_readings(
    *, ret: Ret, rows: Sequence[tuple[datetime, Decimal]], user: User, now: datetime
) -> Imported:
    """Keep the good rows of a logger's file, all of them or none.

    A moment that has its reading already is passed over, so a second press of the
    button does no harm.

    Raises
    ------
    ValidationError
        If the ret has changed since the file was looked at.
    """
    ret = Ret.objects.select_for_update().get(pk=ret.pk)
    if any(_out_of_time(ret, at, now) for at, _temp in rows):
        raise ValidationError(
            _("The ret has changed since this file was looked at. Choose it again.")
        )
    recorded = Reading.objects.in_ret(ret).moments()
    fresh = [
        Reading(
            ret=ret,
            at=at,
            temp_c=temp,
            source=ReadingSource.LOGGER,
            entered_by=user,
        )
        for at, temp in rows
        if at not in recorded
    ]
    Reading.objects.bulk_create(fresh, batch_size=BATCH)
    return Imported(added=len(fresh), already=len(rows) - len(fresh))


def _out_of_time(ret: Ret, at: datetime, now: datetime) -> str:
    """Say why a moment is no moment of the ret, or nothing."""
    if at < ret.began_at:
        return _("before the flax went under water")
    if ret.lifted_at and at > ret.lifted_at:
        return _("after the flax was lifted")
    if at > now:
        return _("that moment has not come yet")
    return ""


def _verdict(
    at: datetime,
    ret: Ret,
    now: datetime,
    first_seen: dict[datetime, int],
    recorded: set[datetime],
) -> str:
    if at in first_seen:
        return _("the same moment as line %d") % first_seen[at]
    if at in recorded:
        return _("there is a reading for this moment already")
    return _out_of_time(ret, at, now)
