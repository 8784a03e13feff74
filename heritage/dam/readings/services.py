"""Readings of the water: typed at the dam, or taken out of a logger's file.

A question is a refusal under ``sure``: a reading that water can hardly give, or another
for a moment that has one, is refused with the question until it is said that it is
right, so page, phone and file ask alike; on the phone, sending the same number again
says so. A reading that does not count keeps its row (`struck_at`; `corrects` on the one
that stands for it): count only `standing()`, and reckon by `counting()`.
"""

from collections.abc import Generator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any, Final, NamedTuple

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.common.rows import lock
from heritage.dam.learning.services import relearn
from heritage.dam.logger.selectors import Same, mean_of
from heritage.dam.models import Reading, ReadingSource, Ret, Struck
from heritage.dam.readings.selectors import Read, doubt, out_of_time
from heritage.dam.rota.selectors import may_correct, may_tick
from heritage.people.models import User

BATCH: Final = 500
STEP: Final = 5_000
# In a dense log one reading in so long is reckoned with: water is slow.
SPARE_WITHIN: Final = timedelta(minutes=30)


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

    Where the moment has another already and they are ``sure``, the mean of the two
    stands, and both are kept.

    Raises
    ------
    ValidationError
        If the flax was not under water then, the moment has not come or has just that
        reading, or no water is as cold or as hot as that; and under ``sure``, a
        question, if water could hardly be so, or the moment has another reading, and
        nobody has said that it is right.
    """
    new = Reading(ret=lock(ret), at=at, temp_c=temp_c, entered_by=by)
    _refuse_wrong_time(new, now)
    there = Reading.objects.in_ret(ret).standing().at_moment(at).first()
    if there is None or there.temp_c == temp_c:
        return _keep(new, sure)
    new.full_clean(validate_constraints=False)
    mean = mean_of([there.temp_c, temp_c])
    if not sure:
        words = _(
            "The book has %(there)s °C for that moment. Two thermometers? Then tick: "
            "their mean, %(mean)s °C, will stand, and both are kept."
        )
        words %= {"there": there.temp_c, "mean": mean}
        first = doubt(Read(at, temp_c), [Read(at, there.temp_c)])
        raise ValidationError({"sure": f"{first} {words}".strip()})
    return _merge(there, new, mean, now)


def _merge(there: Reading, new: Reading, mean: Decimal, now: datetime) -> Reading:
    """Let the mean of two readings stand for both, which are kept."""
    _strike(there, Struck.MERGED, now)
    new.struck_at, new.struck_why, new.corrects = now, Struck.MERGED, there
    new.save()
    both = Reading(ret=new.ret, at=new.at, temp_c=mean, entered_by=new.entered_by)
    both.source, both.corrects = new.source, new
    both.save()
    relearn(new.ret)
    return both


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
    reading = _theirs(reading, by)
    if (at, temp_c) == (reading.at, reading.temp_c):
        raise ValidationError(
            {"temp_c": _("That's the same as before. Change it, or cancel.")}
        )
    _strike(reading, Struck.CORRECTED, now)
    new = Reading(ret=ret, at=at, temp_c=temp_c, entered_by=by, corrects=reading)
    _refuse_wrong_time(new, now)
    return _keep(new, sure)


@transaction.atomic
def strike_reading(*, reading: Reading, why: str, by: User, now: datetime) -> Reading:
    """Strike a reading with none in its place: it is kept, and counts no more.

    Raises
    ------
    ValidationError
        If nobody says why, it is struck already, or it is neither their own reading
        nor are they a lead or an organiser.
    """
    lock(reading.ret)
    reading = _theirs(reading, by)
    if not why:
        raise ValidationError({"why": _("Choose why it doesn't count.")})
    struck = _strike(reading, why, now)
    relearn(struck.ret)
    return struck


def _theirs(reading: Reading, by: User) -> Reading:
    """Return a reading as it stands now, if somebody may change it."""
    rows = Reading.objects.select_related("ret__dam__demonstration")
    reading = rows.get(pk=reading.pk)
    if reading.struck_at:
        raise ValidationError(
            _("Somebody has already corrected this reading. Reload the page.")
        )
    if not may_correct(reading, by):
        raise ValidationError(
            _("Only the reader, a lead or an organiser can correct this.")
        )
    return reading


def _strike(reading: Reading, why: str, now: datetime) -> Reading:
    reading.struck_at, reading.struck_why = now, why
    reading.save(update_fields=["struck_at", "struck_why"])
    return reading


def _refuse_wrong_time(reading: Reading, now: datetime) -> None:
    why_not = out_of_time(reading.ret, reading.at, now)
    if why_not:
        raise ValidationError({"at": why_not})


def _keep(reading: Reading, sure: bool) -> Reading:
    at, temp_c = reading.at, reading.temp_c
    standing = Reading.objects.in_ret(reading.ret).standing()
    if standing.at_moment(at).exists():
        raise ValidationError({"at": _("There is already a reading for that time.")})
    reading.full_clean()
    beside = [Read(one.at, one.temp_c) for one in standing.beside(at)]
    question = "" if sure else doubt(Read(at, temp_c), beside)
    if question:
        raise ValidationError({"sure": question})
    reading.save()
    relearn(reading.ret)
    return reading


class Wanted(NamedTuple):
    """The good rows of a logger's file.

    ``same`` says what stands where the book has another temperature for a moment.
    """

    rows: Sequence[Read]
    same: str = Same.BOOK.value


def import_readings(*, ret: Ret, wanted: Wanted, by: User, now: datetime) -> Imported:
    """Keep the good rows of a logger's file, all of them or none.

    A row that the book has already is passed over, so a second press of the button
    does no harm; whatever does not stand is kept, struck.

    Raises
    ------
    ValidationError
        If the ret has changed since the file was looked at, or the book's readings
        are to give way and they are neither a lead nor an organiser.
    """
    steps = import_in_steps(ret=ret, wanted=wanted, by=by, now=now)
    while True:
        try:
            next(steps)
        except StopIteration as end:
            done: Imported = end.value
            return done


def import_in_steps(
    *, ret: Ret, wanted: Wanted, by: User, now: datetime
) -> Generator[int, None, Imported]:
    """Keep readings as `import_readings` does, and say after each step how many are.

    All of it is one transaction, which ends with the last step.
    """
    rows, same = wanted
    with transaction.atomic():
        ret = lock(ret)
        _refuse_import(ret, rows, by, now, same)
        book = _Book(ret)
        fresh, met = book.sorted(rows)
        new = _with_spare(ret, fresh, by)
        yield 0
        for step in range(0, len(new), STEP):
            Reading.objects.bulk_create(new[step : step + STEP], batch_size=BATCH)
            yield min(step + STEP, len(new))
        changed = met if same != Same.BOOK else []
        for step in range(0, len(changed), STEP):
            _give_way(ret, changed[step : step + STEP], book, same, by, now)
            yield len(new) + min(step + STEP, len(changed))
        relearn(ret)
    added = len(new) + len(changed)
    return Imported(added=added, already=len(rows) - added)


def _refuse_import(
    ret: Ret, rows: Sequence[Read], by: User, now: datetime, same: str
) -> None:
    if any(out_of_time(ret, at, now) for at, _temp in rows):
        raise ValidationError(
            _("The ret has changed since you chose this file. Choose it again.")
        )
    if same == Same.FILE and not may_tick(by, ret.dam.demonstration):
        raise ValidationError(
            _("Only a lead or an organiser can let a file replace what was typed.")
        )


class _Book:
    """What a ret's book has at each moment, and what a file gave it before."""

    def __init__(self, ret: Ret) -> None:
        rows = Reading.objects.in_ret(ret)
        self.standing = dict(rows.standing().values_list("at", "temp_c"))
        self.merged = set(rows.merged().values_list("at", "temp_c"))

    def sorted(self, rows: Sequence[Read]) -> tuple[list[Read], list[Read]]:
        """Return the rows of new moments, and those of which the book says otherwise.

        What a file gave to a mean before is passed over.
        """
        fresh = sorted(row for row in rows if row.at not in self.standing)
        met = [
            row
            for row in rows
            if self.standing.get(row.at, row.temp_c) != row.temp_c
            and tuple(row) not in self.merged
        ]
        return fresh, met


def _with_spare(ret: Ret, rows: Sequence[Read], by: User) -> list[Reading]:
    """Make the readings of a log, of which one in half an hour counts, and the last."""
    counts: datetime | None = None
    made = []
    for at, temp_c in rows:
        is_spare = counts is not None and at - counts < SPARE_WITHIN
        counts = counts if is_spare else at
        made.append(_logged(ret, at, temp_c, by, is_spare=is_spare))
    if made:
        made[-1].is_spare = False
    return made


def _logged(
    ret: Ret, at: datetime, temp_c: Decimal, by: User, **values: Any
) -> Reading:
    reading = Reading(ret=ret, at=at, temp_c=temp_c, entered_by=by, **values)
    reading.source = ReadingSource.LOGGER
    return reading


def _give_way(
    ret: Ret, rows: Sequence[Read], book: _Book, same: str, by: User, now: datetime
) -> None:
    """Strike what the book has at some moments, and let the file or the mean stand."""
    is_mean = same == Same.MEAN
    why = Struck.MERGED if is_mean else Struck.CORRECTED
    old: dict[datetime, Reading] = {}
    for step in range(0, len(rows), BATCH):
        moments = [row.at for row in rows[step : step + BATCH]]
        standing = Reading.objects.in_ret(ret).standing().filter(at__in=moments)
        old |= {one.at: one for one in standing}
        standing.update(struck_at=now, struck_why=why)
    struck: dict[str, Any] = {"struck_at": now, "struck_why": why} if is_mean else {}
    given = [
        _logged(ret, at, temp, by, corrects=old[at], **struck) for at, temp in rows
    ]
    Reading.objects.bulk_create(given, batch_size=BATCH)
    if is_mean:
        means = [(one, mean_of([book.standing[one.at], one.temp_c])) for one in given]
        Reading.objects.bulk_create(
            [_logged(ret, one.at, mean, by, corrects=one) for one, mean in means],
            batch_size=BATCH,
        )
