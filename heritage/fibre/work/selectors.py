"""Sessions of breaking, scutching and hackling, beside what was published."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from heritage.calc.fibre import (
    EXPECTED,
    VOLUNTEERS,
    Band,
    Step,
    Yield,
    dry_mass,
    expected_out,
    hours_of,
    project,
    worked,
)
from heritage.calc.fibre import Work as WorkOf
from heritage.calc.lots import ASSUMED_MOISTURE_PCT
from heritage.fibre.models import Session, SessionMove, Work
from heritage.fibre.stock.selectors import Stock
from heritage.fibre.work.words import BASIS_WORDS, IN_WORDS, ONWARD_WORDS
from heritage.lots.models import Move, Place
from heritage.lots.selectors import LotAt
from heritage.season.models import Demonstration

AIR_DRY_PCT = float(ASSUMED_MOISTURE_PCT)


@dataclass(frozen=True, slots=True)
class SessionLine:
    """One session: what went in, what came out, and how that compares."""

    session: Session
    moves: tuple[Move, ...]
    shares: Yield | None
    expected: Band

    @property
    def work(self) -> Work:
        """The piece of work."""
        return Work(self.session.work)

    @property
    def in_g(self) -> int:
        """What was worked, dry grams."""
        return self.session.in_dry_g

    @property
    def onward_g(self) -> int:
        """What went on, dry grams."""
        return self._g(self.work.onward)

    @property
    def tow_g(self) -> int:
        """The tow, dry grams."""
        return self._g(Place.TOW)

    @property
    def shive_g(self) -> int:
        """The shive, dry grams."""
        return self._g(Place.SHIVE)

    @property
    def dust_g(self) -> int:
        """What was not weighed again, dry grams."""
        return self._g(Place.LOST)

    def _g(self, target: str) -> int:
        return sum(one.dry_g or 0 for one in self.moves if one.target == target)

    @property
    def onward_words(self) -> str:
        """What goes on is called."""
        return str(ONWARD_WORDS[self.work])

    @property
    def in_words(self) -> str:
        """What goes in is called."""
        return str(IN_WORDS[self.work])

    @property
    def percent(self) -> int | None:
        """What went on, in whole percent."""
        return round(100 * self.shares.onward) if self.shares else None

    @property
    def expected_percents(self) -> tuple[int, int, int]:
        """The published range, in whole percent."""
        band = self.expected
        return round(100 * band.low), round(100 * band.likely), round(100 * band.high)

    @property
    def source(self) -> str:
        """Where the range is from."""
        return str(BASIS_WORDS[EXPECTED[WorkOf(self.session.work)].basis])

    @property
    def person_hours(self) -> float | None:
        """The hours of all who worked."""
        people = self.session.people
        return self.session.hours * people if people else None

    @property
    def g_per_hour(self) -> int | None:
        """The grams that one person worked in an hour."""
        hours = self.person_hours
        return round(self.in_g / hours) if hours else None


@dataclass(frozen=True, slots=True)
class WorkPage:
    """What lies at a piece of work, what may come of it, and how long it takes."""

    work: Work
    store: tuple[LotAt, ...]
    there: tuple[LotAt, ...]
    onward: Band
    tow: Band | None
    hours: Band | None

    @property
    def beets(self) -> int:
        """The beets in the store."""
        return sum(one.beets for one in self.store)

    @property
    def there_g(self) -> int:
        """What lies at the work, dry grams."""
        return sum(one.dry_g for one in self.there)

    @property
    def is_anything(self) -> bool:
        """Whether there is anything to work."""
        return bool(self.beets or self.there_g)

    @property
    def onward_words(self) -> str:
        """What goes on is called."""
        return str(ONWARD_WORDS[self.work])

    @property
    def source(self) -> str:
        """Where the range is from."""
        return str(BASIS_WORDS[EXPECTED[WorkOf(self.work)].basis])


def work_page(stock: Stock, work: Work) -> WorkPage:
    """Say what can be worked, and what it may come to, all of it dry."""
    there = tuple(stock.at(work.place))
    store: tuple[LotAt, ...] = ()
    if work == Work.BREAKING:
        store = tuple(one for one in stock.at(Place.STORE) if one.beets)
    beets = sum(one.beets for one in store)
    straw = retted_kg(beets, stock.demonstration.beet_kg).likely
    kg = dry_mass(straw, AIR_DRY_PCT) + sum(one.dry_g for one in there) / 1000
    onward, tow, _rest = expected_out(WorkOf(work), kg)
    return WorkPage(work, store, there, onward, tow, hours_of(WorkOf(work), kg))


def retted_kg(beets: int, beet_kg: Band) -> Band:
    """Return what so many beets weigh as retted straw, by the published shares."""
    crop = project(VOLUNTEERS, beets)[list(Step).index(Step.RETTED)].kg
    # Its own beets are 3 kg; here they may have been weighed.
    return crop.scaled(beet_kg.likely / VOLUNTEERS.beet_kg.likely)


def session_line(session: Session) -> SessionLine:
    """Return one session with its moves."""
    return _lines([session])[0]


def session_lines(demonstration: Demonstration) -> list[SessionLine]:
    """Return all sessions, the newest first: two queries."""
    rows = Session.objects.of(demonstration).newest_first().for_page()
    return _lines(list(rows))


def _lines(sessions: Sequence[Session]) -> list[SessionLine]:
    moves: dict[int, list[Move]] = defaultdict(list)
    for one in SessionMove.objects.of_sessions(sessions).standing().order_by("pk"):
        moves[one.session_id].append(one.move)
    return [_line(session, tuple(moves[session.pk])) for session in sessions]


def _line(session: Session, moves: tuple[Move, ...]) -> SessionLine:
    work = WorkOf(session.work)
    line = SessionLine(session, moves, None, EXPECTED[work].onward)
    out = {
        "onward_kg": line.onward_g / 1000,
        "tow_kg": line.tow_g / 1000,
        "shive_kg": line.shive_g / 1000,
    }
    # A correction may have taken more out of the book than went in.
    if sum(out.values()) > line.in_g / 1000:
        return line
    shares = worked(work, line.in_g / 1000, **out)
    return SessionLine(session, moves, shares, line.expected)
