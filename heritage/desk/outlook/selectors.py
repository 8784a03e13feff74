"""What a plan of the harvest comes to: the facts of the book, and the forecast.

The facts are read once (`read_facts`). A plan (`Plans`) is evenings of pulling and days
with a cart; `forecast_of` gives the chances of one, by `calc.harvest`.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from math import ceil
from typing import Any

from heritage.calc.dam import Band, capacity
from heritage.calc.harvest import (
    Carting,
    Harvest,
    HarvestForecast,
    PullingEvening,
    Room,
    fit_windows,
    harvest_forecast,
)
from heritage.calc.pulling import Evening
from heritage.dam.selectors import DamState, dam_states
from heritage.gatherings.ground.selectors import evening_of
from heritage.gatherings.models import Gathering
from heritage.growth.selectors import Window
from heritage.lots.models import Place
from heritage.lots.selectors import stock
from heritage.season.models import Demonstration, Stage
from heritage.tally.forecast.selectors import (
    Basis,
    WhatIf,
    chance_ahead,
    local_record,
)
from heritage.tally.models import Work, WorkKind
from heritage.tally.pace.selectors import Plan, Rates, outlook, pace, plans, rates
from heritage.tally.selectors import FieldProgress, field_progress

SLOW, LIKELY, QUICK = -1, 0, 1
# Loads that one cart takes in an evening: a round of about 20 minutes. Our own
# judgement, until loads were counted.
LOADS = Band(4, 6, 9)
# From the likely end of one batch to clean water for the next, and from filling to
# there: our own judgement.
TURN_ROUND, BATCH = timedelta(days=7), timedelta(days=17)


@dataclass(frozen=True, slots=True)
class Facts:
    """All that the plan of the harvest rests on."""

    today: date
    window: Window
    basis: Basis
    posted: tuple[Plan, ...]
    cart_days: frozenset[date]
    dams: tuple[DamState, ...]
    beet_kg: Band
    waiting: int
    loads: Band
    loads_counted: int
    hands: int

    @property
    def rates(self) -> Rates:
        return self.basis.rates

    @property
    def is_foreseen(self) -> bool:
        """Whether some day's chance of being dry comes from a weather forecast."""
        return any(day.read_at for day in self.basis.days.values())

    def ready(self, plan: Plan) -> Plan:
        """Return an evening with what is known of its weather, and its places filled.

        Most names come late, so an evening ahead is reckoned with the usual hands, or
        with all the places of the pattern until there is a usual number.
        """
        return replace(
            plan,
            ahead=self.basis.days.get(plan.day),
            signed_up=max(plan.signed_up, self.hands),
        )

    def cart_beets(self, side: int) -> int:
        """Return the beets that one day's cart takes, at one end of the range."""
        load = self.rates.load.band
        return int(_end(self.loads, side) * _end(load, side))

    def rooms(self, side: int) -> tuple[Room, ...]:
        """Return the room of each dam that is or comes clean, and from when."""
        clean = ((state, self.clean_on(state)) for state in self.dams)
        return tuple(Room(day, self.holds(one, side)) for one, day in clean if day)

    def clean_on(self, state: DamState) -> date | None:
        """Return from when a dam can be filled; unknown for spent water."""
        if state.is_clean:
            return self.today
        likely = state.ret.likely if state.ret else None
        return max(self.today, likely.date() + TURN_ROUND) if likely else None

    def holds(self, state: DamState, side: int) -> int:
        """Return how many beets a dam takes in one filling."""
        room = capacity(state.dam.basin, beet_kg=self.beet_kg)
        return {SLOW: room.low, LIKELY: room.beets, QUICK: room.high}[side]


@dataclass(frozen=True, slots=True)
class Plans:
    """Evenings of pulling, the days with a cart, and what else is asked."""

    evenings: tuple[Plan, ...]
    carts: frozenset[date]
    cart_times: int = 1
    second_batch: bool = False
    other_dam: bool = False

    def asking(self, asked: WhatIf) -> "Plans":
        """Return the plan if its evenings were so."""
        return replace(self, evenings=tuple(map(asked.applied, self.evenings)))


def read_facts(
    demonstration: Demonstration,
    now: datetime,
    *,
    window: Window,
    progress: FieldProgress | None = None,
    dams: tuple[DamState, ...] | None = None,
    hands: int = 0,
) -> Facts:
    """Read what the plan rests on; ``progress`` and ``dams`` if they are known."""
    progress = progress or field_progress(demonstration)
    ahead = plans(demonstration, now)
    weather = local_record(demonstration, now)
    days = chance_ahead(demonstration, weather, ahead, now)
    paces = rates(demonstration, progress, now)
    loads = _loads(demonstration)
    usual = ceil(paces.usual_pullers / paces.share.likely) if paces.share.likely else 0
    facts = Facts(
        today=evening_of(now, demonstration),
        window=window,
        basis=Basis(progress, paces, weather, days),
        posted=(),
        cart_days=_cart_days(demonstration, now),
        dams=dam_states(demonstration, now) if dams is None else dams,
        beet_kg=demonstration.beet_kg,
        waiting=_waiting(demonstration),
        loads=_loads_band(loads),
        loads_counted=len(loads),
        hands=usual or hands,
    )
    return replace(facts, posted=tuple(facts.ready(plan) for plan in ahead))


def forecast_of(facts: Facts, planned: Plans, side: int = LIKELY) -> HarvestForecast:
    """Forecast a plan; the low and the high side take every range's same end."""
    return harvest_forecast(harvest_of(facts, planned, side))


def harvest_of(facts: Facts, planned: Plans, side: int) -> Harvest:
    weather, window = facts.basis.weather, facts.window
    known = weather.last_day
    is_before = known is not None and known < facts.today
    without_dam = {"carts": None, "rooms": None}
    return Harvest(
        first_day=facts.today,
        beets_left=facts.basis.left(-side),
        waiting=facts.waiting,
        evenings=_evenings(facts, planned.evenings, side),
        windows=fit_windows(window.first, window.best, window.last),
        wet_to_dry=weather.wet_to_dry.at(side),
        dry_to_dry=weather.dry_to_dry.at(side),
        last_was_dry=weather.last_was_dry,
        last_day=known if is_before else None,
        **_to_the_dam(facts, planned, side) if facts.dams else without_dam,
    )


def _to_the_dam(facts: Facts, planned: Plans, side: int) -> dict[str, Any]:
    each = planned.cart_times * facts.cart_beets(side)
    rooms = facts.rooms(side)
    if planned.second_batch:
        first = min(planned.carts, default=facts.today)
        again = [replace(one, day=max(one.day, first) + BATCH) for one in rooms]
        rooms = (*rooms, *again)
    if planned.other_dam:
        largest = max(facts.holds(state, side) for state in facts.dams)
        rooms = (*rooms, Room(facts.today, largest))
    carts = tuple(Carting(day, each) for day in sorted(planned.carts))
    return {"carts": carts, "rooms": rooms}


def _evenings(
    facts: Facts, ahead: Sequence[Plan], side: int
) -> tuple[PullingEvening | Evening, ...]:
    """Return the evenings, and the days between whose weather is foreseen."""
    at = pace(facts.rates, side)
    lit = [
        replace(plan, lit_hours=max(plan.posted_hours, plan.lit_hours))
        for plan in ahead
    ]
    pulled = [
        PullingEvening(one.day, one.capacity, one.dry_chance, as_lit.capacity)
        for one, as_lit in zip(
            outlook(ahead, facts.rates, at, 1),
            outlook(lit, facts.rates, at, 1),
            strict=True,
        )
    ]
    days = {plan.day for plan in ahead}
    between = [
        Evening(day, 0, known.dry.at(side))
        for day, known in facts.basis.days.items()
        if day not in days and day >= facts.today
    ]
    return tuple(sorted([*pulled, *between], key=lambda one: one.day))


def _cart_days(demonstration: Demonstration, now: datetime) -> frozenset[date]:
    """Return the days with carting or filling posted: one query."""
    rows = Gathering.objects.of(demonstration).going_ahead().upcoming(now)
    rows = rows.filter(stage__in=[Stage.CARTING, Stage.FILLING_THE_DAM])
    starts = rows.values_list("starts_at", flat=True)
    return frozenset(evening_of(start, demonstration) for start in starts)


def _waiting(demonstration: Demonstration) -> int:
    """Return the beets pulled that are in the field or on the cart: four queries."""
    there = stock(demonstration)
    beets = [there[place][0] for place in (Place.STOOK, Place.CART) if place in there]
    return max(0, sum(beets))


def _loads(demonstration: Demonstration) -> list[int]:
    """Return the loads that were carted on each evening on which some were."""
    sums = Work.objects.of(demonstration).sums_by_gathering()
    return [amount for (_key, kind), amount in sums.items() if kind == WorkKind.LOADS]


def _loads_band(counted: Sequence[int]) -> Band:
    if not counted:
        return LOADS
    return Band(min(counted), sum(counted) / len(counted), max(counted))


def _end(band: Band, side: int) -> float:
    return {SLOW: band.low, LIKELY: band.likely, QUICK: band.high}[side]
