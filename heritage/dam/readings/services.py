"""Readings of the water: typed at the dam, or taken out of a logger's file.

A question is a refusal under ``sure``: a reading that water can hardly give is refused
with the question until it is said that it is right, so page, phone and file ask alike;
on the phone, sending the same number again says so. A wrong reading keeps its row
(`struck_at`; `corrects` on the one that stands for it): count only `standing()`.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.common.rows import lock
from heritage.dam.models import Reading, ReadingSource, Ret
from heritage.dam.readings.selectors import Read, doubt, out_of_time
from heritage.dam.rota.selectors import may_correct
from heritage.people.models import User

BATCH: Final = 500


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
    by: User,
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
    new = Reading(ret=lock(ret), at=at, temp_c=temp_c, entered_by=by)
    return _keep(new, now, sure)


@transaction.atomic
def correct_reading(
    *,
    reading: Reading,
    at: datetime,
    temp_c: Decimal,
    by: User,
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
    ret = lock(reading.ret)
    rows = Reading.objects.select_related("ret__dam__demonstration")
    reading = rows.get(pk=reading.pk)
    if reading.struck_at:
        raise ValidationError(_("This reading has been corrected already."))
    if not may_correct(reading, by):
        raise ValidationError(
            _("Only whoever read it, a lead or an organiser can correct this.")
        )
    if (at, temp_c) == (reading.at, reading.temp_c):
        raise ValidationError({"temp_c": _("That's what it says already.")})
    reading.struck_at = now
    reading.save(update_fields=["struck_at"])
    new = Reading(ret=ret, at=at, temp_c=temp_c, entered_by=by, corrects=reading)
    return _keep(new, now, sure)


def _keep(reading: Reading, now: datetime, sure: bool) -> Reading:
    ret, at, temp_c = reading.ret, reading.at, reading.temp_c
    why_not = out_of_time(ret, at, now)
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


@transaction.atomic
def import_readings(
    *, ret: Ret, rows: Sequence[Read], by: User, now: datetime
) -> Imported:
    """Keep the good rows of a logger's file, all of them or none.

    A moment that has its reading already is passed over, so a second press of the
    button does no harm.

    Raises
    ------
    ValidationError
        If the ret has changed since the file was looked at.
    """
    ret = lock(ret)
    if any(out_of_time(ret, at, now) for at, _temp in rows):
        raise ValidationError(
            _("The ret has changed since this file was looked at. Choose it again.")
        )
    recorded = Reading.objects.in_ret(ret).standing().moments()
    fresh = [
        Reading(ret=ret, at=at, temp_c=temp, source=ReadingSource.LOGGER, entered_by=by)
        for at, temp in rows
        if at not in recorded
    ]
    Reading.objects.bulk_create(fresh, batch_size=BATCH)
    return Imported(added=len(fresh), already=len(rows) - len(fresh))
