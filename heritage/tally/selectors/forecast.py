"""When the field will be done, and what would change it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from math import ceil

from django.utils.translation import gettext as _

from heritage.calc.pulling import Band, Evening, FinishForecast, finish_forecast
from heritage.season.models import Demonstration
from heritage.tally.selectors.chances import Ahead, percent
from heritage.tally.selectors.outlook import (
    Plan,
    beets,
    lot_of,
    outlook,
    pace,
    tiers,
)
from heritage.tally.selectors.progress import FieldProgress, field_progress
from heritage.tally.selectors.rates import Rates, rates
from heritage.tally.selectors.weather import DryRecord, chance_ahead, local_record

WEEK = timedelta(days=7)
SIDES = (-1, 0, 1)
# So sure is what counts as likely to be done.
NINE_IN_TEN = 0.9
# From so many counted evenings a pace is told, and not only guessed. Our own choice.
ENOUGH_COUNTED = 3


@dataclass(frozen=True, slots=True)
class WhatIf:
    """What somebody wonders about; nothing asked changes nothing."""

    more_pullers: int = 0
    machine_days: frozenset[date] = frozenset()
    wet_from: date | None = None
    longer_min: int = 0

    @property
    def is_asked(self) -> bool:
        return self != WhatIf()

    def applied(self, plan: Plan) -> Plan:
        """Return an evening as it would be."""
        longer = min(self.longer_min / 60, plan.earlier_hours)
        wet = self.wet_from is not None and (
            self.wet_from <= plan.day < self.wet_from + WEEK
        )
        # More time is time begun earlier: the light ends when it ends.
        return replace(
            plan,
            posted_hours=plan.posted_hours + longer,
            lit_hours=plan.lit_hours + longer,
            machine_hours=plan.machine_hours + longer,
            has_machine=plan.has_machine or plan.day in self.machine_days,
            is_lost=plan.is_lost or wet,
            more=plan.more + self.more_pullers,
        )


@dataclass(frozen=True, slots=True)
class EveningNeeds:
    """What one evening may pull, and what it takes."""

    plan: Plan
    expected: int
    pullers: int
    tiers: int
    beets: Band
    loads_low: int
    loads_high: int
    chance: float
    chance_low: float
    chance_high: float

    @property
    def bands(self) -> int:
        """Bands to have ready, one to a beet: for the most that may be pulled."""
        return int(self.beets.high)

    @property
    def chance_words(self) -> str:
        return percent(self.chance)

    @property
    def range_words(self) -> str:
        ends = percent(self.chance_low), percent(self.chance_high)
        return _("%(low)s to %(high)s") % {"low": ends[0], "high": ends[1]}


@dataclass(frozen=True, slots=True)
class Finish:
    """When it will be done if things go slowly, as is likely, and quickly."""

    slow: FinishForecast
    likely: FinishForecast
    quick: FinishForecast
    needs: list[EveningNeeds]

    @property
    def last_day(self) -> date | None:
        return self.needs[-1].plan.day if self.needs else None

    @property
    def even(self) -> date | None:
        return self.likely.day_at(0.5)

    @property
    def sure(self) -> date | None:
        return self.likely.day_at(NINE_IN_TEN)

    @property
    def even_slow(self) -> date | None:
        return self.slow.day_at(0.5)

    @property
    def may_be_done(self) -> bool:
        """Whether the least that may stand has been pulled already."""
        return self.quick.evenings == 0

    @property
    def is_wide(self) -> bool:
        """Whether the posted evenings may just as well do as not do at all."""
        return self.slow.chance < 1 - NINE_IN_TEN and self.quick.chance > NINE_IN_TEN

    @property
    def even_quick(self) -> date | None:
        return self.quick.day_at(0.5)


@dataclass(frozen=True, slots=True)
class ForecastPage:
    """The finish forecast, before and after what was asked."""

    progress: FieldProgress
    rates: Rates
    weather: DryRecord
    plans: list[Plan]
    before: Finish
    asked: WhatIf
    after: Finish | None

    @property
    def shown(self) -> Finish:
        return self.after or self.before

    @property
    def has_counted_enough(self) -> bool:
        """Whether the field and the pace are counted, and not only guessed."""
        counted = self.rates.hand.evenings >= ENOUGH_COUNTED
        return counted and self.progress.stand.is_measured

    @property
    def read_at(self) -> datetime | None:
        """When the weather forecast was read that some evening's chance comes from."""
        seen = [plan.ahead.read_at for plan in self.plans if plan.ahead]
        return next((moment for moment in seen if moment), None)

    @property
    def left(self) -> Band:
        """Beets still to pull, with their range."""
        return Band(*(_left(self.progress, side) for side in SIDES))

    @property
    def dark(self) -> list[Plan]:
        """Evenings whose light runs out before they end."""
        return [plan for plan in self.plans if plan.dark_hours > 1 / 30]

    @property
    def dark_hours(self) -> float:
        return sum(plan.dark_hours for plan in self.dark)

    @property
    def more_evenings(self) -> int:
        """Dry evenings to post beside, if things go as is likely; none if enough."""
        needs = self.shown.needs
        if self.shown.likely.chance >= NINE_IN_TEN or not needs:
            return 0
        each = sum(need.beets.likely for need in needs) / len(needs)
        dry = (
            sum(need.beets.likely for need in needs if not need.plan.is_lost)
            * self._dry_share
        )
        short = self.left.likely - dry
        return max(1, ceil(short / each)) if each else 0

    @property
    def _dry_share(self) -> float:
        wet, dry = self.weather.wet_to_dry.likely, self.weather.dry_to_dry.likely
        return wet / (1 - dry + wet)


@dataclass(frozen=True, slots=True)
class DamWarning:
    """The dam may be full while flax still stands."""

    room: Band
    left: Band

    @property
    def is_likely(self) -> bool:
        return self.left.likely > self.room.likely

    @property
    def over(self) -> int:
        """Beets for which there is likely to be no room."""
        return max(0, round(self.left.likely - self.room.likely))


def forecast_page(
    demonstration: Demonstration,
    *,
    now: datetime,
    plans: Sequence[Plan],
    asked: WhatIf,
) -> ForecastPage:
    """Forecast the finish on the ``plans``, and with what was asked: nine queries."""
    progress = field_progress(demonstration)
    found = rates(demonstration, progress, now)
    weather = local_record(demonstration, now)
    days = chance_ahead(demonstration, weather, plans, now)
    ahead = [replace(plan, ahead=days.get(plan.day)) for plan in plans]
    before = finish(progress, found, weather, ahead, days)
    after = None
    if asked.is_asked:
        wondered = [asked.applied(plan) for plan in ahead]
        after = finish(progress, found, weather, wondered, days)
    return ForecastPage(progress, found, weather, ahead, before, asked, after)


def finish(
    progress: FieldProgress,
    rates: Rates,
    weather: DryRecord,
    plans: Sequence[Plan],
    days: Mapping[date, Ahead],
) -> Finish:
    """Forecast the finish at three paces; nothing is read from the book here.

    The slow end takes every range's worse end at once: the most beets, the slowest
    pulling, only those signed up, the wettest weather. The quick end is its mirror.
    """
    slow, likely, quick = (
        _forecast(progress, rates, weather, plans, days, side) for side in SIDES
    )
    needs = [_needs(plan, rates, slow, likely, quick) for plan in plans]
    return Finish(slow, likely, quick, needs)


def dam_warning(page: ForecastPage, room: Band) -> DamWarning | None:
    """Warn if the dam, with room for so many beets, may be full before the end.

    Whoever knows the dam says how many beets it still takes; the tally does not.
    """
    warning = DamWarning(room, page.left)
    return warning if warning.left.high > room.low else None


def _left(progress: FieldProgress, side: int) -> int:
    stand = progress.stand
    expected = {-1: stand.low, 0: stand.likely, 1: stand.high}[side]
    return max(0, expected - progress.beets)


def _forecast(
    progress: FieldProgress,
    rates: Rates,
    weather: DryRecord,
    plans: Sequence[Plan],
    days: Mapping[date, Ahead],
    side: int,
) -> FinishForecast:
    left = _left(progress, -side)
    lot = lot_of(left)
    known = _day_before(weather, plans)
    evenings = outlook(plans, rates, pace(rates, side), lot)
    between = _without_gathering(plans, days, known, side)
    return finish_forecast(
        ceil(left / lot),
        sorted([*evenings, *between], key=lambda evening: evening.day),
        wet_to_dry=weather.wet_to_dry.at(side),
        dry_to_dry=weather.dry_to_dry.at(side),
        last_was_dry=weather.last_was_dry,
        last_day=known,
    )


def _day_before(weather: DryRecord, plans: Sequence[Plan]) -> date | None:
    """Return the last day whose weather is known, if it lies before the outlook."""
    if weather.last_day and plans and weather.last_day < plans[0].day:
        return weather.last_day
    return None


def _without_gathering(
    plans: Sequence[Plan], days: Mapping[date, Ahead], known: date | None, side: int
) -> list[Evening]:
    """Return the days whose weather is foreseen though nothing is pulled on them."""
    gathered = {plan.day for plan in plans}
    return [
        Evening(day, 0, dry_chance=ahead.dry.at(side))
        for day, ahead in days.items()
        if day not in gathered and (known is None or day > known)
    ]


def _needs(
    plan: Plan,
    rates: Rates,
    slow: FinishForecast,
    likely: FinishForecast,
    quick: FinishForecast,
) -> EveningNeeds:
    low, middle, high = (beets(plan, rates, pace(rates, side)) for side in SIDES)
    load = rates.load.band
    return EveningNeeds(
        plan=plan,
        expected=plan.expected(rates, 0),
        pullers=plan.pullers(rates),
        tiers=tiers(plan, rates),
        beets=Band(low, middle, high),
        loads_low=ceil(middle / load.high),
        loads_high=ceil(middle / load.low),
        chance=likely.chance_by_day[plan.day],
        chance_low=slow.chance_by_day[plan.day],
        chance_high=quick.chance_by_day[plan.day],
    )
