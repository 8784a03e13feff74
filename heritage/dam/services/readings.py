"""Readings of the water: typed at the dam, or out of a logger's file."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.dam.models import Reading, ReadingSource, Ret
from heritage.dam.selectors import may_correct
from heritage.dam.services.doubts import Read, doubt
from heritage.dam.services.logger_file import Line, read_file
from heritage.people.models import User

BATCH = 500


@dataclass(frozen=True, slots=True)
class Preview:
    """Every line of a file with its verdict; nothing of it is kept yet."""

    lines: tuple[Line, ...]

    @property
    def good(self) -> tuple[Line, ...]:
        return tuple(line for line in self.lines if line.is_good and not line.doubt)

    @property
    def doubtful(self) -> tuple[Line, ...]:
        """Those that water could hardly give: kept only if somebody says so."""
        return tuple(line for line in self.lines if line.is_good and line.doubt)

    @property
    def bad(self) -> tuple[Line, ...]:
        return tuple(line for line in self.lines if not line.is_good)

    @property
    def rows(self) -> list[Read]:
        """What would be kept."""
        return _reads(self.good)

    @property
    def doubtful_rows(self) -> list[Read]:
        """What would be kept besides, if somebody says so."""
        return _reads(self.doubtful)


def _reads(lines: Sequence[Line]) -> list[Read]:
    return [
        Read(line.at, line.temp_c)
        for line in lines
        if line.at and line.temp_c is not None
    ]


@dataclass(frozen=True, slots=True)
class Imported:
    """What an import came to."""

    added: int
    already: int


@transaction.atomic
def add_reading(
    *,
    ret: Ret,
    at: datetime,
    temp_c: Decimal,
    user: User,
    now: datetime,
    sure: bool = False,
) -> Reading:
    """Keep one reading that somebody typed.

    Raises
    ------
    ValidationError
        If the flax was not under water then, the moment has not come or has a
        reading, or no water is as cold or as hot as that; and under ``sure``, a
        question, if water could hardly be so and nobody has said that it is.
    """
    ret = Ret.objects.select_for_update().get(pk=ret.pk)
    return _keep(Reading(ret=ret, at=at, temp_c=temp_c, entered_by=user), now, sure)


@transaction.atomic
def correct_reading(
    *,
    reading: Reading,
    at: datetime,
    temp_c: Decimal,
    user: User,
    now: datetime,
    sure: bool = False,
) -> Reading:
    """Strike a reading, keep it, and let another stand for it.

    Raises
    ------
    ValidationError
        As for a new reading; and if it is struck already, nothing is changed, or it
        is neither their own reading nor are they a lead or an organiser.
    """
    ret = Ret.objects.select_for_update().get(pk=reading.ret_id)
    reading = Reading.objects.select_related("ret__dam__demonstration").get(
        pk=reading.pk
    )
    if reading.struck_at:
        raise ValidationError(_("This reading has been corrected already."))
    if not may_correct(reading, user):
        raise ValidationError(
            _("Only whoever read it, a lead or an organiser can correct this.")
        )
    if (at, temp_c) == (reading.at, reading.temp_c):
        raise ValidationError({"temp_c": _("That's what it says already.")})
    reading.struck_at = now
    reading.save(update_fields=["struck_at"])
    new = Reading(ret=ret, at=at, temp_c=temp_c, entered_by=user, corrects=reading)
    return _keep(new, now, sure)


def _keep(reading: Reading, now: datetime, sure: bool) -> Reading:
    ret, at, temp_c = reading.ret, reading.at, reading.temp_c
    why_not = _out_of_time(ret, at, now)
    if why_not:
        raise ValidationError({"at": why_not})
    standing = Reading.objects.in_ret(ret).standing()
    if standing.at_moment(at).exists():
        raise ValidationError({"at": _("There is a reading for that moment.")})
    reading.full_clean()
    beside = [Read(one.at, one.temp_c) for one in standing.beside(at)]
    question = "" if sure else doubt(Read(at, temp_c), beside)
    if question:
        raise ValidationError({"sure": question})
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
    standing = Reading.objects.in_ret(ret).standing()
    recorded = standing.moments()
    first_seen: dict[datetime, int] = {}
    judged = []
    for line in lines:
        why_not = line.why_not
        if line.at and not why_not:
            why_not = _verdict(line.at, ret, now, first_seen, recorded)
        if line.at and not why_not:
            first_seen[line.at] = line.number
        judged.append(replace(line, why_not=why_not))
    known = [Read(*row) for row in standing.values_list("at", "temp_c")]
    doubts = _doubts(_reads([line for line in judged if line.is_good]), known)
    return Preview(
        tuple(
            replace(line, doubt=doubts.get(line.at, "")) if line.at else line
            for line in judged
        )
    )


def _doubts(found: Sequence[Read], known: Sequence[Read]) -> dict[datetime, str]:
    """Say which of a file's readings water could hardly give, by their moments.

    Each is held against the last one that nobody doubts, of the file or of the book,
    so that a stretch that is wrong is asked about whole.
    """
    before: list[Read] = []
    said = {}
    in_book = set(known)
    for read in sorted([*found, *known]):
        words = "" if read in in_book else doubt(read, before)
        if words:
            said[read.at] = words
        else:
            before = [read]
    return said


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
    recorded = Reading.objects.in_ret(ret).standing().moments()
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
