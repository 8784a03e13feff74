"""What of a logger's file can be kept, what water could hardly give, what is listed.

Nothing is written here.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from itertools import pairwise
from typing import Final, NamedTuple

from django.utils.translation import gettext as _

from heritage.calc import water
from heritage.dam.logger.selectors import (
    FileLine,
    LoggerFile,
    Look,
    Same,
    mean_of,
    read_file,
)
from heritage.dam.models import Reading, ReadingQuerySet, Ret


class Read(NamedTuple):
    """A moment and the temperature then."""

    at: datetime
    temp_c: Decimal


def doubt(read: Read, neighbours: Iterable[Read]) -> str:
    """Say why a reading can hardly be, beside those before and after; or nothing."""
    if water.could_be_fahrenheit(float(read.temp_c)):
        celsius = f"{water.to_celsius(float(read.temp_c)):.1f}"
        words = _("Is that in °F? %(temp)s °F is %(celsius)s °C.")
        return words % {"temp": read.temp_c, "celsius": celsius}
    if read.temp_c > water.WARMEST_C:
        return _("%s °C is warmer than a dam gets. Read it again.") % read.temp_c
    for other in neighbours:
        apart = abs(read.at - other.at)
        change = abs(float(read.temp_c - other.temp_c))
        if change > water.most_change(apart / timedelta(hours=1)):
            return _jump(read, other, apart)
    return ""


def _jump(read: Read, other: Read, apart: timedelta) -> str:
    hours = round(apart / timedelta(hours=1), 1)
    words = _(
        "%(temp)s °C, and %(other)s °C %(hours)s hours %(when)s: water hardly changes "
        "so fast. Read it again."
    )
    if not apart:
        words = _("%(temp)s °C, and %(other)s °C at the same moment: please check.")
    return words % {
        "temp": read.temp_c,
        "other": other.temp_c,
        "hours": f"{hours:g}",
        "when": _("earlier") if other.at < read.at else _("later"),
    }


def out_of_time(ret: Ret, at: datetime, now: datetime) -> str:
    """Say why a moment is no moment of the ret, or nothing."""
    if at < ret.began_at:
        return _("before the flax went under water")
    if ret.lifted_at and at > ret.lifted_at:
        return _("after the flax was lifted")
    if at > now:
        return _("that time is in the future")
    return ""


# A gap that a file's preview speaks of: so many of its usual steps, and no shorter
# than this. Our own judgement.
STEPS_OF_A_GAP: Final = 4
SHORTEST_GAP: Final = timedelta(hours=3)


class Gap(NamedTuple):
    """A stretch of a file without a reading."""

    start: datetime
    end: datetime

    @property
    def hours(self) -> int:
        return round((self.end - self.start) / timedelta(hours=1))


@dataclass(frozen=True, slots=True)
class Preview:
    """Every line of a file with its verdict; nothing of it is kept yet.

    ``met`` is how many lines are of a moment of which the book says otherwise.
    """

    file: LoggerFile
    lines: tuple[FileLine, ...]
    gaps: tuple[Gap, ...]
    met: int

    @property
    def good(self) -> tuple[FileLine, ...]:
        return tuple(line for line in self._kept if not line.doubt)

    @property
    def doubtful(self) -> tuple[FileLine, ...]:
        """Those that water could hardly give: kept only if somebody says so."""
        return tuple(line for line in self._kept if line.doubt)

    @property
    def bad(self) -> tuple[FileLine, ...]:
        return tuple(line for line in self.lines if not line.is_good)

    @property
    def already(self) -> int:
        """How many lines the book has as they stand."""
        return sum(line.is_known for line in self.lines)

    @property
    def joined(self) -> int:
        """How many lines another of the same moment speaks for."""
        return sum(bool(line.joined_to) for line in self.lines)

    @property
    def apart(self) -> float:
        """How far the probes lie apart at the most, in °C."""
        return max((line.apart for line in self._kept), default=0.0)

    @property
    def span(self) -> tuple[datetime, datetime] | None:
        """From when to when its good lines are."""
        moments = [line.at for line in self._kept if line.at]
        return (min(moments), max(moments)) if moments else None

    @property
    def rows(self) -> list[Read]:
        """What would be kept."""
        return _reads(self.good)

    @property
    def doubtful_rows(self) -> list[Read]:
        """What would be kept besides, if somebody says so."""
        return _reads(self.doubtful)

    @property
    def _kept(self) -> Iterator[FileLine]:
        return (
            line
            for line in self.lines
            if line.is_good and not line.joined_to and not line.is_known
        )


def _reads(lines: Iterable[FileLine]) -> list[Read]:
    return [
        Read(line.at, line.temp_c)
        for line in lines
        if line.at and line.temp_c is not None
    ]


def preview_readings(
    *,
    ret: Ret,
    data: bytes,
    now: datetime,
    look: Look = Look(),  # noqa: B008
) -> Preview:
    """Judge every line of a logger's file: two queries. Nothing is written.

    Raises
    ------
    ValidationError
        If the file as a whole cannot be taken.
    """
    file = read_file(data, zone=ret.dam.demonstration.zone, look=look)
    readings = Reading.objects.in_ret(ret)
    book = dict(readings.standing().values_list("at", "temp_c"))
    given = set(readings.merged().values_list("at", "temp_c"))
    told = [_in_time(line, ret, now) for line in file.lines]
    single = [_if_known(line, book, given) for line in _one_a_moment(told)]
    met = [_beside_book(line, book, look.same) for line in single]
    new = [one for one in met if one.is_good and not one.is_known]
    doubts = _doubts(_reads(new), book)
    lines = tuple(_with_doubt(line, doubts) for line in met)
    kept = sorted(line.at for line in lines if line.is_good and line.at)
    differing = sum(
        line.at in book and not line.joined_to and not line.is_known for line in lines
    )
    return Preview(file, lines, tuple(_gaps(kept)), met=differing)


def _in_time(line: FileLine, ret: Ret, now: datetime) -> FileLine:
    if line.at is None or line.why_not:
        return line
    return line._replace(why_not=out_of_time(ret, line.at, now))


def _one_a_moment(lines: Sequence[FileLine]) -> Iterator[FileLine]:
    """Let the first line of a moment speak for all of it, with their mean."""
    of_moment: dict[datetime, list[FileLine]] = {}
    for line in lines:
        if line.at and line.is_good:
            of_moment.setdefault(line.at, []).append(line)
    for line in lines:
        alike = of_moment.get(line.at, []) if line.at and line.is_good else []
        if len(alike) < 2:
            yield line
        elif line is alike[0]:
            yield _mean_line(alike)
        else:
            yield line._replace(joined_to=alike[0].number)


def _mean_line(alike: Sequence[FileLine]) -> FileLine:
    temps = [line.temp_c for line in alike if line.temp_c is not None]
    numbers = ", ".join(str(line.number) for line in alike)
    apart = max([float(max(temps) - min(temps)), *(line.apart for line in alike)])
    note = _("the mean of lines %s, which are of one moment") % numbers
    return alike[0]._replace(temp_c=mean_of(temps), note=note, apart=apart)


def _if_known(
    line: FileLine,
    book: Mapping[datetime, Decimal],
    given: set[tuple[datetime, Decimal]],
) -> FileLine:
    """Mark a line that the book has already, as it stands or in a mean of two."""
    if not line.at or line.temp_c is None or line.joined_to or not line.is_good:
        return line
    is_known = book.get(line.at) == line.temp_c or (line.at, line.temp_c) in given
    return line._replace(is_known=True) if is_known else line


def _beside_book(
    line: FileLine, book: Mapping[datetime, Decimal], same: str
) -> FileLine:
    """Say what becomes of a line of whose moment the book speaks already."""
    if not line.at or line.at not in book or not line.is_good:
        return line
    if line.joined_to or line.is_known:
        return line
    there = book[line.at]
    if same == Same.BOOK or line.temp_c is None:
        return line._replace(why_not=_("the book has %s °C for this moment") % there)
    note = _("in place of %s °C in the book") % there
    if same == Same.MEAN:
        mean = {"there": there, "mean": mean_of([there, line.temp_c])}
        note = _("with %(there)s °C in the book: %(mean)s °C will stand") % mean
    return line._replace(note=note)


def _with_doubt(line: FileLine, doubts: Mapping[datetime, str]) -> FileLine:
    words = doubts.get(line.at) if line.at and line.is_good else ""
    if line.is_good and not words and line.apart > water.most_change(0) and line.note:
        words = _("its lines are %.1f °C apart: was one out of the water?") % line.apart
    return line._replace(doubt=words) if words else line


def _doubts(
    new: Sequence[Read], book: Mapping[datetime, Decimal]
) -> dict[datetime, str]:
    """Say which of a file's readings water could hardly give, by their moments.

    Each is held against the last one that nobody doubts, of the file or of the book,
    so that a stretch that is wrong is asked about whole.
    """
    before: list[Read] = []
    doubts = {}
    known = [Read(*row) for row in book.items()]
    in_book = set(known)
    for read in sorted([*new, *known]):
        words = "" if read in in_book else doubt(read, before)
        if words:
            doubts[read.at] = words
        else:
            before = [read]
    return doubts


def _gaps(moments: Sequence[datetime]) -> Iterator[Gap]:
    """Find the stretches that are long beside the file's usual step."""
    steps = sorted(later - earlier for earlier, later in pairwise(moments))
    if not steps:
        return
    least = max(SHORTEST_GAP, STEPS_OF_A_GAP * steps[len(steps) // 2])
    for earlier, later in pairwise(moments):
        if later - earlier > least:
            yield Gap(earlier, later)


# So many struck readings stand on a ret's page.
STRUCK_SHOWN: Final = 20


def listed(ret: Ret) -> ReadingQuerySet:
    """Return all that stand, the newest first, for the pages of the list."""
    return Reading.objects.in_ret(ret).standing().order_by("-at")
