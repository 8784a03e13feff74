"""One filling evening: what is to come, at which pace, and when to stop carting."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cached_property
from itertools import pairwise

from heritage.calc import dam as dam_sums
from heritage.calc import filling as sums
from heritage.calc._band import Band
from heritage.dam.evening import words
from heritage.dam.filling.selectors import beets_left
from heritage.dam.models import Dam, FillEvening, FillLoad
from heritage.dam.works.selectors import Supply, supply_of
from heritage.gatherings.ground.selectors import Light, evening_of, light_of_day
from heritage.gatherings.models import Gathering, Station
from heritage.lots.models import Lot
from heritage.season.models import Demonstration, Stage

MINUTE = timedelta(minutes=1)
DAY = timedelta(days=1)
NOW = Band(0.0, 0.0, 0.0)
# An evening's whole work: what is posted within so long of it is its own.
STAGES = (Stage.CARTING, Stage.FILLING_THE_DAM)


@dataclass(frozen=True, slots=True)
class LotPart:
    """What of a lot came to the dam, what is to come, and in how many loads."""

    lot: Lot
    came: int
    to_come: tuple[int, ...]

    @property
    def beets_to_come(self) -> int:
        return sum(self.to_come)

    @property
    def words(self) -> str:
        """What of it came, and what is to come."""
        return words.part_words(self.came, self.beets_to_come, len(self.to_come))

    @property
    def pulled_on(self) -> date | None:
        """The day it was pulled, where it was pulled on one."""
        if self.lot.gathering is None:
            return None
        return evening_of(self.lot.gathering.starts_at, self.lot.demonstration)


@dataclass(frozen=True, slots=True)
class LoadLine:
    """A load that came: its number in the evening, and the minutes since the last."""

    number: int
    load: FillLoad
    gap_min: float | None

    @property
    def words(self) -> str:
        """Its number and time, for who cannot see which button it is."""
        there = self.load.move.lot.demonstration.zone
        return f"{self.number}, {words.hour(self.load.move.at.astimezone(there))}"


@dataclass(frozen=True, slots=True)
class Clock:
    """When all is under, and when to stop carting, in the demonstration's own time."""

    early: datetime
    likely: datetime
    late: datetime
    stop_sure: datetime | None
    stop_likely: datetime | None


@dataclass(frozen=True)
class EveningPage:
    """All that is known of one filling evening at one moment."""

    evening: FillEvening
    asked_at: datetime
    light: Light
    parts: tuple[LotPart, ...]
    loads: tuple[LoadLine, ...]
    supply: Supply
    stations: tuple[Station, ...]
    pace: Band
    reckoned: Band
    filling: sums.Filling
    starts: datetime

    @property
    def dam(self) -> Dam:
        return self.evening.dam

    @property
    def carts(self) -> sums.Carts:
        return carts_of(self.evening)

    @cached_property
    def to_come(self) -> tuple[int, ...]:
        """The beets of each load to come."""
        return self.filling.to_come

    @property
    def came_beets(self) -> int:
        return sum(part.came for part in self.parts)

    @property
    def beets(self) -> int:
        """All the beets of the evening, those that came and those to come."""
        return self.came_beets + sum(self.to_come)

    @property
    def days(self) -> tuple[date, ...]:
        """The days on which the lots were pulled."""
        return tuple(sorted({part.pulled_on for part in self.parts if part.pulled_on}))

    @property
    def has_begun(self) -> bool:
        return bool(self.loads) or self.asked_at >= self.evening.starts_at

    @cached_property
    def capacity(self) -> dam_sums.Capacity:
        """What the dam holds."""
        here = self.dam.demonstration
        return dam_sums.capacity(self.dam.basin, beet_kg=here.beet_kg)

    @property
    def is_over_full(self) -> bool:
        """Whether more is planned than the dam is likely to hold."""
        return self.beets > self.capacity.beets

    @property
    def weight(self) -> sums.LoadWeight:
        """What one load weighs."""
        return sums.load_weight(self.evening.load_beets, self.dam.demonstration.beet_kg)

    @property
    def slowest(self) -> sums.Slowest:
        """What sets the pace."""
        return sums.slowest(self.carts, self.evening.placers)

    @property
    def dark(self) -> datetime | None:
        """When work at the water has to stop: at sunset, or with the light."""
        return dark_of(self.light)

    @property
    def water_from(self) -> datetime | None:
        """When the water must run in at the latest, where it comes before the flax."""
        if not self.evening.water_first or self.supply.hours is None:
            return None
        return self.starts - timedelta(hours=self.supply.hours.high)

    @cached_property
    def clock(self) -> Clock:
        """When all is under water and weighed down, and when to stop carting."""
        under, stop = sums.all_under(self.filling), None
        if self.dark:
            dark_min = (self.dark - self.starts) / MINUTE
            next_load = self.evening.load_beets
            stop = sums.stop_carting(self.filling, next_load, dark_min)
        return Clock(
            self._at(under.low),
            self._at(under.likely),
            self._at(under.high),
            self._at(stop.sure_min) if stop else None,
            self._at(stop.likely_min) if stop else None,
        )

    @cached_property
    def in_time(self) -> Band:
        """How many of the loads to come are under water before dark."""
        if self.dark is None:
            count = float(len(self.to_come))
            return Band(count, count, count)
        return sums.loads_in_time(self.filling, (self.dark - self.starts) / MINUTE)

    @property
    def all_fit(self) -> bool:
        """Whether all is under before dark even if it goes slowly."""
        return self.dark is None or self.clock.late <= self.dark

    @property
    def leave_by(self) -> datetime | None:
        """When the last load must leave the field, with room for slow hands."""
        if self.clock.stop_sure is None:
            return None
        return self.clock.stop_sure - self.carts.way_min * MINUTE

    @property
    def is_dark(self) -> bool:
        """Whether work at the water is over for the day."""
        return self.dark is not None and self.asked_at >= self.dark

    @property
    def is_too_late_for_more(self) -> bool:
        """Whether no full load is sure to be under before dark, even one from now."""
        return self.leave_by is not None and self.leave_by < self.starts

    @property
    def all_under(self) -> str:
        """When all is under, as it is said."""
        spread = (self.clock.early, self.clock.likely, self.clock.late)
        return words.all_under_words(spread, self.dark)

    @property
    def is_time_to_stop(self) -> bool:
        """Whether no full load that sets out now is sure to be under before dark."""
        return self.has_begun and self.is_too_late_for_more

    def _at(self, minutes: float) -> datetime:
        return self.starts + minutes * MINUTE

    @property
    def is_water_late(self) -> bool:
        """Whether the water alone takes longer than the light lasts."""
        return water_is_late(self.evening, self.supply, self.light)

    @property
    def under(self) -> str:
        """What the times here are for."""
        return words.under_words(with_water=not self.is_water_late)

    @property
    def lead(self) -> str:
        """How the evening stands, in one sentence."""
        clock, loads, dark = self.clock, len(self.to_come), self.dark
        if not self.beets:
            return words.nothing_words()
        if self.is_dark and dark:
            return words.dark_words(dark)
        if not loads and dark and not self.all_fit:
            return words.not_covered_words(self.under, dark)
        if not loads:
            return words.all_came_words(self.under, clock.likely, clock.late)
        if self.is_water_late and self.supply.hours and not self.has_begun:
            return words.water_late_words(self.supply.hours)
        if self.all_fit or dark is None:
            spread = (clock.early, clock.likely, clock.late)
            return words.fits_words(self.under, loads, spread, dark)
        if self.is_time_to_stop:
            return words.stop_now_words(self.under, dark)
        sure = int(self.in_time.low)
        return words.dark_first_words(self.under, sure, loads, self.leave_by, dark)

    @property
    def pace_words(self) -> str:
        """The pace: as it was measured or, until then, reckoned."""
        gaps = sum(1 for line in self.loads if line.gap_min)
        if gaps:
            return words.pace_words(gaps, self.pace)
        carts = self.carts
        return words.trip_words(carts.way_min, carts.load_min, self.reckoned)

    @property
    def slowest_words(self) -> str:
        """What sets the pace, and so which hands help."""
        return str(words.PACE_WORDS[self.slowest])

    @property
    def weight_words(self) -> str:
        """What a load weighs."""
        return words.weight_words(self.evening.load_beets, self.weight)

    @property
    def hands_words(self) -> str:
        """Who is needed where."""
        return words.hands_words(self.evening)

    @property
    def water_words(self) -> str:
        """How long the water takes."""
        start = self.water_from or self.starts
        return words.water_words(
            self.evening, self.supply.hours, start, is_late=self.is_water_late
        )

    @property
    def mixed_words(self) -> str:
        """What lots of different days mean for the ret."""
        return words.mixed_words(self.days, mixed=self.evening.mixed)

    @property
    def steps(self) -> tuple[str, ...]:
        """The order of the work here."""
        return words.steps(self.evening)

    @property
    def first_lot(self) -> LotPart | None:
        """The lot of the next load: the first with beets in the field."""
        return next((part for part in self.parts if part.to_come), None)


def open_evening(dam: Dam) -> FillEvening | None:
    """Return the filling that is planned for a dam: one query."""
    return FillEvening.objects.of_dam(dam).to_come().first()


def carts_of(evening: FillEvening) -> sums.Carts:
    """Return an evening's carts for the calculations."""
    return sums.Carts(
        carts=evening.carts,
        load_beets=evening.load_beets,
        distance_m=float(evening.distance_m),
        speed_kmh=float(evening.speed_kmh),
        loaders=evening.loaders,
    )


def evening_page(evening: FillEvening, now: datetime) -> EveningPage:
    """Gather one filling evening as it stands at a moment: fixed queries."""
    here = evening.dam.demonstration
    rows = FillLoad.objects.of(here).waiting().standing().in_order()
    # What came for another dam is on the cart too, and isn't to come to this one.
    waiting = tuple(rows.select_related("move__lot__demonstration"))
    loads = tuple(one for one in waiting if one.evening_id == evening.pk)
    starts = max(now, evening.starts_at) if not loads else now
    starts = starts.astimezone(here.zone)
    parts = _parts(evening, loads, waiting, now)
    supply = supply_of(evening.dam)
    light = light_of_day(here, evening_of(evening.starts_at, here))
    water = _water_min(evening, supply, light)
    filling, pace, reckoned = _filling(evening, parts, loads, water, starts)
    return EveningPage(
        evening=evening,
        asked_at=now,
        light=light,
        parts=parts,
        loads=_lines(loads),
        supply=supply,
        stations=_stations(here, evening.starts_at),
        pace=pace,
        reckoned=reckoned,
        filling=filling,
        starts=starts,
    )


def _parts(
    evening: FillEvening,
    loads: Sequence[FillLoad],
    waiting: Sequence[FillLoad],
    now: datetime,
) -> tuple[LotPart, ...]:
    """Share what there is of each lot among what came and the loads to come."""
    came, taken = _by_lot(loads), _by_lot(waiting)
    at = max(now, evening.starts_at)
    left = {one.lot.pk: one.beets for one in beets_left(_here(evening), at).lots}
    return tuple(
        LotPart(
            lot,
            came.get(lot.pk, 0),
            _in_loads(
                max(0, left.get(lot.pk, 0) - taken.get(lot.pk, 0)), evening.load_beets
            ),
        )
        for lot in evening.lots.with_its_pull().by_number()
    )


def _by_lot(loads: Sequence[FillLoad]) -> dict[int, int]:
    """Add up the beets of loads by their lot."""
    beets: dict[int, int] = {}
    for load in loads:
        lot = load.move.lot_id
        beets[lot] = beets.get(lot, 0) + (load.move.beets or 0)
    return beets


def _here(evening: FillEvening) -> Demonstration:
    return evening.dam.demonstration


def _in_loads(beets: int, load: int) -> tuple[int, ...]:
    """Part beets into loads, the last with what is over."""
    whole, over = divmod(beets, load)
    return (load,) * whole + ((over,) if over else ())


def _filling(
    evening: FillEvening,
    parts: Sequence[LotPart],
    loads: Sequence[FillLoad],
    water: Band,
    starts: datetime,
) -> tuple[sums.Filling, Band, Band]:
    """Return the evening for the calculations, its pace, and that reckoned before."""
    to_come = tuple(beets for part in parts for beets in part.to_come)
    if evening.mixed:
        to_come = _in_loads(sum(to_come), evening.load_beets)
    carts = carts_of(evening)
    reckoned = sums.load_every(carts)
    at = [load.move.at for load in loads]
    gaps = [(later - one) / MINUTE for one, later in pairwise(at) if later > one]
    pace = sums.learn_pace(reckoned, gaps, max(1, len(to_come)))
    filling = sums.Filling(
        came=tuple(
            ((load.move.at - starts) / MINUTE, load.move.beets or 0) for load in loads
        ),
        to_come=to_come,
        next_min=_next(evening, carts, pace, at, starts),
        every_min=pace,
        place_min=sums.placing(evening.placers),
        weigh_down_min=sums.WEIGH_DOWN.scaled(evening.weigh_down_min),
        water_min=water,
    )
    return filling, pace, reckoned


def _next(
    evening: FillEvening,
    carts: sums.Carts,
    pace: Band,
    at: Sequence[datetime],
    starts: datetime,
) -> Band:
    """Return when the next load is to be expected, not before now."""
    since = (starts - (at[-1] if at else evening.starts_at)) / MINUTE
    waits = pace if at else carts.first_min
    return Band(
        *(max(0.0, one - since) for one in (waits.low, waits.likely, waits.high))
    )


def _water_min(evening: FillEvening, supply: Supply, light: Light) -> Band:
    """Return how long the water takes after the flax; left out if unknown or late."""
    if evening.water_first or supply.hours is None:
        return NOW
    if water_is_late(evening, supply, light):
        return NOW
    return supply.hours.scaled(60)


def dark_of(light: Light) -> datetime | None:
    """Return when work at the water has to stop: at sunset, or with the light."""
    return light.machines_stop


def water_is_late(evening: FillEvening, supply: Supply, light: Light) -> bool:
    """Tell whether water let in after the flax can't be up before dark."""
    dark = dark_of(light)
    if evening.water_first or supply.hours is None or dark is None:
        return False
    left = (dark - evening.starts_at) / MINUTE - evening.weigh_down_min
    return supply.hours.likely * 60 > left


def _lines(loads: Sequence[FillLoad]) -> tuple[LoadLine, ...]:
    at = [load.move.at for load in loads]
    gaps = [None, *((later - one) / MINUTE for one, later in pairwise(at))]
    pairs = zip(loads, gaps, strict=False)
    return tuple(LoadLine(n, load, gap) for n, (load, gap) in enumerate(pairs, 1))


def _stations(here: Demonstration, starts_at: datetime) -> tuple[Station, ...]:
    """Return the stations posted for the evening, with the places taken."""
    start = starts_at.astimezone(here.zone).replace(hour=0, minute=0)
    posted = Gathering.objects.of(here).going_ahead().between(start, start + DAY)
    rows = Station.objects.filter(gathering__in=posted.filter(stage__in=STAGES))
    return tuple(rows.with_counts().in_order())


def next_posted(here: Demonstration, now: datetime) -> datetime:
    """Return when the next evening of carting or filling starts: one query.

    Where none is posted, half past five.
    """
    rows = Gathering.objects.of(here).going_ahead().filter(stage__in=STAGES)
    found = rows.filter(starts_at__gt=now - DAY / 4).in_order().first()
    return found.starts_at if found else _half_past_five(here, now)


def _half_past_five(here: Demonstration, now: datetime) -> datetime:
    """Return the next evening's usual beginning, to be changed on the form."""
    there = now.astimezone(here.zone)
    usual = there.replace(hour=17, minute=30, second=0, microsecond=0)
    return usual if usual > there else usual + DAY


def what_came(evening: FillEvening) -> dict[Lot, int]:
    """Return the beets of each lot that came to the dam: one query."""
    came: dict[Lot, int] = {}
    rows = FillLoad.objects.of_evening(evening).standing().in_order()
    for load in rows.select_related("move__lot__demonstration"):
        lot = load.move.lot
        came[lot] = came.get(lot, 0) + (load.move.beets or 0)
    return came
