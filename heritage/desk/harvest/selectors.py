"""The plan of the harvest: what is proposed, and what would help.

What a plan comes to is reckoned in the part `outlook`.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from math import ceil
from typing import Any

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from heritage.calc.dam import Band
from heritage.calc.harvest import (
    LONGEST_WAIT_DAYS,
    HarvestForecast,
    Limit,
    bottleneck,
    harvest_forecast,
)
from heritage.dam.selectors import DamState
from heritage.desk.outlook.selectors import (
    LIKELY,
    QUICK,
    SLOW,
    Facts,
    Plans,
    forecast_of,
    harvest_of,
    read_facts,
)
from heritage.gatherings.ground.selectors import evening_of
from heritage.gatherings.models import (
    Gathering,
    Pattern,
    PatternStation,
    Station,
    StationKind,
)
from heritage.gatherings.runs.selectors import Evening as Offered
from heritage.gatherings.runs.selectors import RunPlan, evenings
from heritage.growth.selectors import Window, growing_page
from heritage.season.models import Demonstration, Stage
from heritage.tally.forecast.selectors import NINE_IN_TEN, WhatIf, in_percent
from heritage.tally.pace.selectors import Plan, beets, pace, tiers
from heritage.tally.selectors import FieldProgress, field_progress

DAY = timedelta(days=1)
SIDES = (SLOW, LIKELY, QUICK)
EVERY_DAY = tuple(range(7))
# Until an evening was posted here: our own choice, and it ends when its light does.
STARTS, ENDS = time(18, 30), time(20, 45)
# An evening with less light than this is not worth proposing.
SHORTEST = timedelta(minutes=45)
# So long before the window the plan is a matter for Today: our own choice.
LOOK_AHEAD = timedelta(days=21)
# So many evenings are proposed at once, and no more once the chance is good enough.
MOST_PROPOSED = 6
# Flax goes to the dam the day after it was pulled, as a rule (1911); our carts too.
USUAL_WAIT = DAY
# What is asked of each change: our own choice.
MORE_PULLERS, EARLIER_MIN = 2, 30
LEAST_HELP = 0.02
MOST_HELPS = 4


@dataclass(frozen=True, slots=True)
class Kind:
    """What an evening is posted from: the organiser's pattern, or the last like it."""

    stage: Stage
    title: str
    bring: str
    note: str
    place: str
    starts: time
    ends: time
    stations: tuple[PatternStation | Station, ...]

    @property
    def can_post(self) -> bool:
        """Whether there is a pattern, or an evening like it, to post from."""
        return bool(self.stations)

    @property
    def hours(self) -> float:
        """How long it is to last, if the light does."""
        start, end = (datetime.combine(date.min, at) for at in (self.starts, self.ends))
        return max(0.0, (end - start) / timedelta(hours=1))

    @property
    def pullers(self) -> int:
        """How many places it has for pulling."""
        pulling = [row for row in self.stations if row.kind == StationKind.PULL]
        return sum(row.places for row in pulling)

    @property
    def works(self) -> list[StationKind]:
        return [StationKind(row.kind) for row in self.stations]

    def run(self, first: date, last: date) -> RunPlan:
        """Return every day between two, at its times, each ending with its light."""
        return RunPlan(
            EVERY_DAY, first, max(first, last), self.starts, self.ends, by_light=True
        )


@dataclass(frozen=True, slots=True)
class ProposedEvening:
    """An evening to post, and what the chance is with it and all before it."""

    offered: Offered
    pullers: int
    tiers: int
    before: float
    after: float


@dataclass(frozen=True, slots=True)
class CartDay:
    """A day on which a cart is needed, for the flax of which evenings."""

    day: date
    offered: Offered | None
    evenings: tuple[date, ...]
    beets: int
    loads_low: int
    loads_high: int

    @property
    def loads_words(self) -> str:
        if self.loads_low < self.loads_high:
            words = _("%(low)d to %(high)d loads")
            return words % {"low": self.loads_low, "high": self.loads_high}
        return ngettext("%d load", "%d loads", self.loads_low) % self.loads_low


@dataclass(frozen=True, slots=True)
class Help:
    """A change, and what the chance is with it."""

    words: str
    before: float
    after: float


@dataclass(frozen=True, slots=True)
class EveningLine:
    """An evening of the plan: what it may pull, and the chances by its end."""

    plan: Plan
    is_posted: bool
    beets: Band
    pulled: float

    @property
    def chance_words(self) -> str:
        return in_percent(self.pulled)


@dataclass(frozen=True, slots=True)
class RoomLine:
    """What one dam takes in one filling, and from when, if that is known."""

    name: str
    beets: Band
    clean_on: date | None
    is_clean: bool


@dataclass(frozen=True, slots=True)
class HarvestPage:
    """The plan of the harvest."""

    facts: Facts
    pulling: Kind
    carting: Kind
    posted: HarvestForecast
    planned: HarvestForecast
    slow: HarvestForecast
    quick: HarvestForecast
    limit: Limit | None
    evenings: tuple[ProposedEvening, ...]
    carts: tuple[CartDay, ...]
    helps: tuple[Help, ...]
    lines: tuple[EveningLine, ...]

    @property
    def has_dam(self) -> bool:
        return bool(self.facts.dams)

    @property
    def has_proposals(self) -> bool:
        return bool(self.evenings or self.carts)

    @property
    def is_over(self) -> bool:
        """Whether the last day on which the crop is fit is past."""
        return self.facts.window.last < self.facts.today

    @property
    def lacks_cart(self) -> bool:
        """Whether no cart is posted, so that nothing posted brings flax to the dam."""
        return self.has_dam and not self.facts.cart_days

    @property
    def wants_pattern(self) -> bool:
        """Whether nothing is proposed for want of knowing how many come."""
        return not (self.facts.hands or self.pulling.can_post)

    @property
    def rooms(self) -> list[RoomLine]:
        """What each dam takes in one filling, and from when."""
        return [
            RoomLine(
                name=state.dam.name,
                beets=Band(*(self.facts.holds(state, side) for side in SIDES)),
                clean_on=self.facts.clean_on(state),
                is_clean=state.is_clean,
            )
            for state in self.facts.dams
        ]

    @property
    def room_short(self) -> int:
        """Beets, as is likely, for which no dam has room in time."""
        latest = self.facts.window.last + LONGEST_WAIT_DAYS * DAY
        rooms = self.facts.rooms(LIKELY)
        room = sum(one.beets for one in rooms if one.day <= latest)
        return max(0, self.facts.basis.left(LIKELY) + self.facts.waiting - room)

    @property
    def left(self) -> Band:
        """Beets still to pull, with their range."""
        return Band(*(self.facts.basis.left(side) for side in SIDES))


def harvest_page(demonstration: Demonstration, now: datetime) -> HarvestPage | None:
    """Plan the harvest; nothing while nobody knows how much, or when it is fit."""
    progress = field_progress(demonstration)
    window = growing_page(demonstration, now).window_of(progress.standing)
    if window is None or not progress.has_stand:
        return None
    pulling, carting = kinds_of(demonstration)
    facts = read_facts(
        demonstration, now, window=window, progress=progress, hands=pulling.pullers
    )
    offered = _offered(demonstration, pulling, facts, now)
    proposed = tuple(_proposed(facts, pulling, offered, now))
    taken = [facts.ready(plan_of(one.offered, pulling, now)) for one in proposed]
    ahead = _in_order([*facts.posted, *taken])
    carts = tuple(_cart_days_wanted(demonstration, carting, facts, ahead, now))
    planned = Plans(ahead, facts.cart_days | {one.day for one in carts})
    spare = [one for one in offered if one.day not in {plan.day for plan in ahead}]
    spares = [facts.ready(plan_of(one, pulling, now)) for one in spare[:1]]
    likely = forecast_of(facts, planned)
    return HarvestPage(
        facts=facts,
        pulling=pulling,
        carting=carting,
        **_forecasts(facts, planned, likely),
        evenings=proposed,
        carts=carts,
        helps=tuple(_helps(facts, planned, likely, spares)),
        lines=tuple(_lines(facts, ahead, likely)),
    )


def _offered(
    demonstration: Demonstration, pulling: Kind, facts: Facts, now: datetime
) -> list[Offered]:
    """Return the evenings of the window on which pulling could be posted."""
    found = offers(demonstration, pulling, _days_ahead(facts), now)
    return [one for one in found if one.day <= facts.window.last]


def _forecasts(facts: Facts, planned: Plans, likely: HarvestForecast) -> dict[str, Any]:
    """Return what is posted comes to, what is planned, at its ends, and its limit."""
    return {
        "posted": forecast_of(facts, Plans(facts.posted, facts.cart_days)),
        "planned": likely,
        "slow": forecast_of(facts, planned, SLOW),
        "quick": forecast_of(facts, planned, QUICK),
        "limit": bottleneck(harvest_of(facts, planned, LIKELY), likely),
    }


def chance_posted(
    demonstration: Demonstration,
    progress: FieldProgress,
    dams: tuple[DamState, ...],
    window: Window | None,
    now: datetime,
) -> float | None:
    """Return the chance of the harvest as posted, once it is time to look at it.

    No query while there is no telling, or it is early or over, and a fixed number
    when there is.
    """
    today = evening_of(now, demonstration)
    if window is None or not progress.has_stand:
        return None
    if not window.first - LOOK_AHEAD <= today <= window.last:
        return None
    facts = read_facts(
        demonstration,
        now,
        window=window,
        progress=progress,
        dams=dams,
        hands=kinds_of(demonstration)[0].pullers,
    )
    if not facts.basis.left(LIKELY):
        return None
    return forecast_of(facts, Plans(facts.posted, facts.cart_days)).under_water


def kinds_of(demonstration: Demonstration) -> tuple[Kind, Kind]:
    """Return what an evening of pulling and one of carting are posted from."""
    patterns = Pattern.objects.of(demonstration).by_title()
    known = list(
        patterns.filter(stage__in=[Stage.PULLING, Stage.CARTING]).prefetch_related(
            "stations"
        )
    )
    pulling = _kind(demonstration, Stage.PULLING, known, None)
    return pulling, _kind(demonstration, Stage.CARTING, known, pulling)


def _kind(
    demonstration: Demonstration,
    stage: Stage,
    patterns: Sequence[Pattern],
    like: Kind | None,
) -> Kind:
    """Take the pattern of the most pullers by hand; the rest is as last posted."""
    rows = Gathering.objects.of(demonstration).published().filter(stage=stage)
    last = rows.prefetch_related("stations").order_by("-starts_at", "-pk").first()
    of_stage = [row for row in patterns if row.stage == stage]
    source = min(of_stage, key=_by_hand_and_pullers, default=None) or last
    starts, ends = (like.starts, like.ends) if like else (STARTS, ENDS)
    if last:
        times = last.starts_at, last.ends_at
        starts, ends = (one.astimezone(demonstration.zone).time() for one in times)
    place = like.place if like else demonstration.place_name
    return Kind(
        stage=stage,
        title=source.title if source else str(stage.label).capitalize(),
        bring=source.bring if source else "",
        note=source.note if source else "",
        place=last.place if last else place,
        starts=starts,
        ends=ends,
        stations=tuple(source.stations.all()) if source else (),
    )


def _by_hand_and_pullers(pattern: Pattern) -> tuple[bool, int]:
    """Put work by hand first, and of that the one with the most places to pull."""
    rows = pattern.stations.all()
    machine = {StationKind.DRIVE, StationKind.FEED}
    pullers = sum(row.places for row in rows if row.kind == StationKind.PULL)
    return any(row.kind in machine for row in rows), -pullers


def offers(
    demonstration: Demonstration, kind: Kind, days: tuple[date, date], now: datetime
) -> list[Offered]:
    """Return the evenings on which one of a kind could be posted: two queries.

    They have light enough, and none of that kind, not even a draft.
    """
    found = evenings(demonstration, kind.run(*days), now, kind.works)
    rows = Gathering.objects.of(demonstration).not_called_off().filter(stage=kind.stage)
    starts = rows.filter(ends_at__gt=now).values_list("starts_at", flat=True)
    taken = {evening_of(start, demonstration) for start in starts}
    return [one for one in found if one.day not in taken and _is_long_enough(one)]


def _is_long_enough(one: Offered) -> bool:
    if one.trouble or one.starts_at is None or one.ends_at is None:
        return False
    return one.ends_at - one.starts_at >= SHORTEST


def _days_ahead(facts: Facts) -> tuple[date, date]:
    """Return the days of the window that are still to come."""
    first = max(facts.today + DAY, facts.window.first)
    return first, max(first, facts.window.last)


def plan_of(offered: Offered, kind: Kind, now: datetime) -> Plan:
    """Return an evening that could be posted as the forecast reckons one."""
    start, end = offered.starts_at or now, offered.ends_at or now
    light = offered.light
    by_sunset = min(end, light.sunset) if light.sunset else end
    return Plan(
        day=offered.day,
        posted_hours=kind.hours,
        lit_hours=light.hours_left(start, end),
        machine_hours=light.hours_left(start, max(start, by_sunset)),
        signed_up=0,
        has_machine=False,
        stop=light.stop,
        starts_at=start,
        ends_at=end,
        earlier_hours=light.hours_left(now, start),
    )


def _proposed(
    facts: Facts, kind: Kind, offered: Sequence[Offered], now: datetime
) -> Iterator[ProposedEvening]:
    """Propose evenings, those nearest the best day first, until it is likely enough."""
    ahead = list(facts.posted)
    chance = _chance_pulled(facts, ahead)
    wanted = sorted(offered, key=lambda one: abs(one.day - facts.window.best))
    for one in wanted[:MOST_PROPOSED] if facts.hands else []:
        if chance >= NINE_IN_TEN:
            return
        plan = facts.ready(plan_of(one, kind, now))
        ahead.append(plan)
        before, chance = chance, _chance_pulled(facts, ahead)
        pullers = plan.pullers(facts.rates)
        yield ProposedEvening(one, pullers, tiers(plan, facts.rates), before, chance)


def _chance_pulled(facts: Facts, ahead: Iterable[Plan]) -> float:
    """Return the chance that the field is pulled in time, if carts and dam follow."""
    harvest = harvest_of(facts, Plans(_in_order(ahead), frozenset()), LIKELY)
    return harvest_forecast(replace(harvest, carts=None, rooms=None)).pulled


def _in_order(ahead: Iterable[Plan]) -> tuple[Plan, ...]:
    return tuple(sorted(ahead, key=lambda plan: plan.day))


def _cart_days_wanted(
    demonstration: Demonstration,
    kind: Kind,
    facts: Facts,
    ahead: Sequence[Plan],
    now: datetime,
) -> Iterator[CartDay]:
    """Ask for a cart the day after each evening that none follows in time."""
    wanted: dict[date, list[Plan]] = {}
    for plan in ahead if facts.dams else ():
        carts = facts.cart_days | wanted.keys()
        latest = plan.day + LONGEST_WAIT_DAYS * DAY
        follows = min((day for day in carts if plan.day <= day <= latest), default=None)
        if follows is None or follows in wanted:
            wanted.setdefault(follows or plan.day + USUAL_WAIT, []).append(plan)
    if not wanted:
        return
    free = {
        one.day: one
        for one in offers(demonstration, kind, (min(wanted), max(wanted)), now)
    }
    for day, before in wanted.items():
        yield _cart_day(facts, day, before, free.get(day))


def _cart_day(
    facts: Facts, day: date, evenings: Sequence[Plan], offered: Offered | None
) -> CartDay:
    expected = sum(beets(plan, facts.rates, pace(facts.rates, 0)) for plan in evenings)
    load = facts.rates.load.band
    return CartDay(
        day=day,
        offered=offered,
        evenings=tuple(plan.day for plan in evenings),
        beets=expected,
        loads_low=ceil(expected / load.high),
        loads_high=ceil(expected / load.low),
    )


def _helps(
    facts: Facts, planned: Plans, likely: HarvestForecast, spare: Sequence[Plan]
) -> Iterator[Help]:
    """Return the changes that help, the one that helps most first."""
    found = []
    for words, changed in _changes(facts, planned, spare):
        chance = forecast_of(facts, changed).under_water
        if chance - likely.under_water >= LEAST_HELP:
            found.append(Help(words, likely.under_water, chance))
    yield from sorted(found, key=lambda one: -one.after)[:MOST_HELPS]


def _changes(
    facts: Facts, planned: Plans, spare: Sequence[Plan]
) -> Iterator[tuple[str, Plans]]:
    if planned.evenings:
        yield from _changes_of_evenings(facts, planned)
    for plan in spare:
        yield (
            _("One more evening, on %s") % day_words(plan.day),
            replace(
                planned,
                evenings=_in_order([*planned.evenings, plan]),
                carts=planned.carts | {plan.day + USUAL_WAIT},
            ),
        )
    if facts.dams:
        yield _("A second cart"), replace(planned, cart_times=2)
        yield _("A second batch in the dam"), replace(planned, second_batch=True)
        yield _("Another dam as large"), replace(planned, other_dam=True)


def _changes_of_evenings(facts: Facts, planned: Plans) -> Iterator[tuple[str, Plans]]:
    more = ceil(MORE_PULLERS / facts.rates.share.likely)
    best = facts.window.best
    nearest = min(planned.evenings, key=lambda plan: abs(plan.day - best))
    yield _("Two more pullers each evening"), planned.asking(WhatIf(more_pullers=more))
    yield (
        _("Begin half an hour earlier"),
        planned.asking(WhatIf(longer_min=EARLIER_MIN)),
    )
    if not nearest.has_machine:
        yield (
            _("The machine on %s") % day_words(nearest.day),
            planned.asking(WhatIf(machine_days=frozenset({nearest.day}))),
        )


def _lines(
    facts: Facts, ahead: Sequence[Plan], likely: HarvestForecast
) -> Iterator[EveningLine]:
    by_day = {one.day: one for one in likely.by_day}
    posted = {plan.day for plan in facts.posted}
    for plan in ahead:
        low, middle, high = (
            beets(plan, facts.rates, pace(facts.rates, side)) for side in SIDES
        )
        then = by_day.get(plan.day, likely.by_day[-1])
        yield EveningLine(
            plan=plan,
            is_posted=plan.day in posted,
            beets=Band(low, middle, high),
            pulled=then.pulled,
        )


def day_words(day: date) -> str:
    """Write a day as people say it in a list."""
    return date_format(day, "D j M")
