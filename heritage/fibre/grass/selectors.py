"""What lies on the grass: since when, when to turn and test it, and what it needs."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from heritage.calc.fibre import Band, GrassDay, GrassPlan, grass_area, grass_plan
from heritage.calc.fibre import grass_rows as rows_of
from heritage.calc.retting import DewState, dew_state
from heritage.fibre.grass.words import DEW_TURN_WORDS, TURN_WORDS
from heritage.fibre.models import (
    Done,
    GrassEntry,
    GrassWeather,
    Spreading,
    SpreadLot,
    Way,
    Wet,
)
from heritage.fibre.stock.selectors import Stock, take_stock
from heritage.gatherings.models import RainAhead
from heritage.growth.models import WarmDay
from heritage.lots.models import Lot, Move, Place
from heritage.lots.selectors import LotAt, stands
from heritage.season.models import Demonstration

ROWS_M = (20, 30, 50)
# Of a day's rain this many hours are to be forecast before the day counts: our own.
ENOUGH_HOURS = 12
RAIN_MM = 2.0
# About half-way by dew it is turned: the one turn that every source asks for.
DEW_TURN = 0.5
TEST_EVERY = timedelta(days=1)
LONG = date.min


@dataclass(frozen=True, slots=True)
class LotOnGrass:
    """What of one lot was spread, and what of it still lies."""

    lot: Lot
    spread: int
    lying: int


@dataclass(frozen=True, slots=True)
class DewSoFar:
    """How far a dew ret is by its days, and how many of these nobody wrote down."""

    state: DewState
    unknown_days: int

    @property
    def percent(self) -> int:
        """Progress in whole percent."""
        return round(100 * self.state.progress)


@dataclass(frozen=True, slots=True)
class SpreadingState:
    """How one spreading stands, and what it wants next.

    ``plan`` has the turns proposed, ``dew`` the progress where dew alone rets it and
    somebody wrote the days down. ``turn_on`` and ``test_on`` are the next days for it.
    """

    spreading: Spreading
    lots: tuple[LotOnGrass, ...]
    entries: tuple[GrassEntry, ...]
    day: int
    plan: GrassPlan
    dew: DewSoFar | None
    turn_on: date | None
    test_on: date | None
    rain_on: date | None

    @property
    def lying(self) -> int:
        """The beets that still lie on the grass."""
        return sum(one.lying for one in self.lots)

    @property
    def spread(self) -> int:
        """The beets that were spread."""
        return sum(one.spread for one in self.lots)

    @property
    def is_over(self) -> bool:
        """Whether all of it is off the grass."""
        return self.lying == 0

    @property
    def last_test(self) -> GrassEntry | None:
        """The last time a stalk was tried."""
        tests = [one for one in self.entries if Done(one.what).is_test]
        return tests[-1] if tests else None

    @property
    def is_ready(self) -> bool:
        """Whether the last test found it ready."""
        return _is_ready(self.entries)

    @property
    def is_gaited(self) -> bool:
        """Whether it was set up to dry."""
        return any(one.what == Done.GAITED for one in self.entries)

    @property
    def turn_words(self) -> str:
        """Why the next turn is proposed for its day."""
        if self.spreading.is_dew:
            return str(DEW_TURN_WORDS)
        return str(TURN_WORDS[self.plan.turns[0].reason]) if self.plan.turns else ""


@dataclass(frozen=True, slots=True)
class Needed:
    """The grass that some beets want, and the rows of each length."""

    beets: int
    area: Band
    rows: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class SpreadPage:
    """What may be spread in one way, and the grass it wants."""

    way: Way
    lots: tuple[LotAt, ...]
    needed: Needed


def lies_in(lot: Lot, at: datetime) -> SpreadLot | None:
    """Return what says that a lot lies spread on the grass at a moment."""
    rows = SpreadLot.objects.filter(lot=lot, spreading__spread_at__lte=at)
    found = rows.order_by("-spreading__spread_at").first()
    return found if found and stands(lot, Place.GRASS, at) > 0 else None


def needed(demonstration: Demonstration, beets: int) -> Needed:
    """Return the grass that so many beets want."""
    area = grass_area(beets, demonstration.beet_kg)
    rows = tuple((metres, rows_of(area.likely, metres)) for metres in ROWS_M)
    return Needed(beets, area, rows)


def heaped(stock: Stock) -> list[LotAt]:
    """Return what is out of the dam and not spread yet: two queries."""
    spread = _spread_in(stock.demonstration)
    return [one for one in stock.at(Place.GRASS) if one.lot.pk not in spread]


def spread_page(demonstration: Demonstration, way: Way) -> SpreadPage:
    """Return what may be spread in one way."""
    stock = take_stock(demonstration)
    lots = heaped(stock) if way == Way.AFTER_DAM else stock.at(*way.places)
    beets = sum(one.beets for one in lots)
    return SpreadPage(way, tuple(lots), needed(demonstration, beets))


def spreading_states(stock: Stock, now: datetime) -> tuple[SpreadingState, ...]:
    """Say how every spreading stands, the newest first: eight queries at the most."""
    rows = Spreading.objects.of(stock.demonstration).newest_first().for_page()
    return _states(stock, list(rows), now)


def spreading_state(spreading: Spreading, now: datetime) -> SpreadingState:
    """Say how one spreading stands."""
    return _states(take_stock(spreading.demonstration), [spreading], now)[0]


def _states(
    stock: Stock, rows: Sequence[Spreading], now: datetime
) -> tuple[SpreadingState, ...]:
    days = _days(stock.demonstration, now)
    entries: dict[int, list[GrassEntry]] = defaultdict(list)
    for entry in GrassEntry.objects.filter(spreading__in=rows).in_order():
        entries[entry.spreading_id].append(entry)
    lots = _lots_of(stock, rows)
    return tuple(
        _state(row, tuple(lots[row.pk]), tuple(entries[row.pk]), days) for row in rows
    )


def _lots_of(stock: Stock, rows: Sequence[Spreading]) -> Mapping[int, list[LotOnGrass]]:
    """Return the lots of each spreading; only the latest of a lot has it lying."""
    latest, found = _spread_in(stock.demonstration), defaultdict(list)
    was_spread = set()
    for one in SpreadLot.objects.filter(spreading__in=rows).in_order():
        beets, _grams = stock.of(one.lot_id, Place.GRASS)
        lying = max(0, beets) if latest[one.lot_id] == one.spreading_id else 0
        found[one.spreading_id].append(LotOnGrass(one.lot, one.beets, lying))
        was_spread.add(one.lot_id)
    for lot in stock.at(Place.GRASS):
        if lot.lot.pk in latest and lot.lot.pk not in was_spread:
            parted = LotOnGrass(lot.lot, 0, lot.beets)
            found[latest[lot.lot.pk]].append(parted)
    return found


def _spread_in(demonstration: Demonstration) -> dict[int, int]:
    """Return the last spreading of each lot, and of what was parted from it since."""
    rows = SpreadLot.objects.of(demonstration).order_by("spreading__spread_at", "pk")
    found, since = {}, {}
    for lot, spreading, at in rows.values_list(
        "lot", "spreading", "spreading__spread_at"
    ):
        found[lot], since[lot] = spreading, at
    parted = Move.objects.of(demonstration).standing().in_order()
    parted = parted.filter(source=Place.GRASS, target=Place.GRASS)
    for lot, made, at in parted.values_list("lot", "to_lot", "at"):
        if made not in found and lot in found and at > since[lot]:
            found[made], since[made] = found[lot], at
    return found


@dataclass(frozen=True, slots=True)
class _Days:
    """The days as they were and as they are forecast, and today."""

    weather: Mapping[date, GrassDay]
    damp: Mapping[date, bool]
    temps: Mapping[date, float]
    today: date


def _state(
    spreading: Spreading,
    lots: tuple[LotOnGrass, ...],
    entries: tuple[GrassEntry, ...],
    days: _Days,
) -> SpreadingState:
    zone = spreading.demonstration.zone
    spread_on = spreading.spread_at.astimezone(zone).date()
    done = [(one.what, one.at.astimezone(zone).date()) for one in entries]
    turned = [day for what, day in done if what == Done.TURNED]
    weather = list(days.weather.values())
    plan = grass_plan(spread_on, weather, turned=turned, today=days.today)
    dew = _dew(spread_on, days) if spreading.is_dew else None
    turn_on = next((turn.day for turn in plan.turns), None)
    test_on: date | None = max(plan.first, _last_test(dict(done)) + TEST_EVERY)
    if spreading.is_dew:
        turn_on = _dew_turn(dew, turned, days.today)
        test_on = _dew_test(dew, dict(done), days.today)
    is_ready = _is_ready(entries)
    return SpreadingState(
        spreading=spreading,
        lots=lots,
        entries=entries,
        day=(days.today - spread_on).days + 1,
        plan=plan,
        dew=dew,
        turn_on=None if is_ready else turn_on,
        test_on=None if is_ready else test_on,
        rain_on=_rain_on(days),
    )


def _rain_on(days: _Days) -> date | None:
    """Return the next day on which rain is forecast."""
    wet = [one.day for one in days.weather.values() if one.is_wet]
    return min((day for day in wet if day >= days.today), default=None)


def _is_ready(entries: Sequence[GrassEntry]) -> bool:
    tests = [one for one in entries if Done(one.what).is_test]
    return bool(tests) and tests[-1].what == Done.READY


def _last_test(done: Mapping[str, date]) -> date:
    return max((day for what, day in done.items() if Done(what).is_test), default=LONG)


def _dew_turn(dew: DewSoFar | None, turned: Sequence[date], today: date) -> date | None:
    """Return today once it is half-way and was never turned."""
    half_way = dew is not None and dew.state.progress >= DEW_TURN
    return today if half_way and not turned else None


def _dew_test(
    dew: DewSoFar | None, done: Mapping[str, date], today: date
) -> date | None:
    """Return the next day to test, once it is time for tests at all."""
    if dew is None or not dew.state.is_test_time:
        return None
    every = timedelta(days=dew.state.test_every_days)
    return max(today, _last_test(done) + every)


def _dew(spread_on: date, days: _Days) -> DewSoFar | None:
    """Return how far a dew ret is; nothing until a day's temperature is known.

    A day that nobody wrote down counts as dry, and as warm as the others.
    """
    lain = [
        spread_on + timedelta(days=n)
        for n in range(max(1, (days.today - spread_on).days))
    ]
    known = [days.temps[day] for day in lain if day in days.temps]
    if not known:
        return None
    mean = sum(known) / len(known)
    state = dew_state(
        [days.temps.get(day, mean) for day in lain],
        [days.damp.get(day, False) for day in lain],
    )
    unknown = sum(day not in days.damp or day not in days.temps for day in lain)
    return DewSoFar(state, unknown)


def _days(demonstration: Demonstration, now: datetime) -> _Days:
    """Read the days: as somebody wrote them down, then as they are forecast."""
    today = now.astimezone(demonstration.zone).date()
    rows = list(GrassWeather.objects.of(demonstration).in_order())
    rain = {row.day: RAIN_MM if row.wet == Wet.RAIN else 0.0 for row in rows}
    ahead = {day: mm for day, mm in _ahead(demonstration).items() if day >= today}
    # Where nobody wrote the grass's own warmth down, the crop's days stand in.
    warm = {
        row.day: float(row.tmin_c + row.tmax_c) / 2
        for row in WarmDay.objects.of(demonstration)
    }
    temps = {row.day: float(row.mean_c) for row in rows if row.mean_c is not None}
    return _Days(
        weather={day: GrassDay(day, mm) for day, mm in (ahead | rain).items()},
        damp={row.day: row.wet != Wet.DRY for row in rows},
        temps=warm | temps,
        today=today,
    )


def _ahead(demonstration: Demonstration) -> dict[date, float]:
    """Return the rain of the days in the forecast last read, where there is one."""
    forecast = RainAhead.objects.of(demonstration).first()
    if forecast is None:
        return {}
    hours: dict[date, list[float]] = defaultdict(list)
    for begins, mm in forecast.hours.items():
        local = datetime.fromisoformat(begins).astimezone(demonstration.zone)
        hours[local.date()].append(float(mm))
    return {day: sum(mm) for day, mm in hours.items() if len(mm) >= ENOUGH_HOURS}


def weather_days(demonstration: Demonstration) -> list[GrassWeather]:
    """Return the days that were written down, the newest first."""
    return list(GrassWeather.objects.of(demonstration).order_by("-day"))
