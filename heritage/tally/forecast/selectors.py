"""When the field will be done, and what would change it."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from itertools import pairwise
from math import ceil
from zoneinfo import ZoneInfo

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from heritage.calc.pulling import Band, Evening, FinishForecast, finish_forecast
from heritage.calc.weather import Limits
from heritage.gatherings.ground.selectors import evening_of
from heritage.gatherings.models import Call, Decision, RainAhead, WhyOff
from heritage.season.models import Demonstration
from heritage.tally.pace.selectors import (
    Ahead,
    Chance,
    Plan,
    Rates,
    beets,
    lot_of,
    outlook,
    pace,
    rates,
    tiers,
)
from heritage.tally.selectors import FieldProgress, field_progress


def in_percent(chance: float) -> str:
    """Write a chance; what is not certain never looks so."""
    if 0 < chance < 0.01:
        return _("under 1 %")
    if 0.99 < chance < 1:
        return _("over 99 %")
    return f"{round(100 * chance)} %"


# Placeholders, without a source: a wet day turns dry somewhat less often than not, a
# dry one stays dry two times in three. They weigh as much as ten evenings of our own.
WET_TO_DRY, DRY_TO_DRY, WORTH = 0.40, 0.65, 10
DAY = timedelta(days=1)
# A forecast made longer ago says nothing of tonight; hour by hour it reaches two days.
STALE, FORESEEN_DAYS = DAY, 10
LIMITS = Limits()


# Placeholders too, without a source: how often an evening turns out dry whose worst
# hour was forecast without rain, with a little, and with enough to call it off.
FORESEEN_DRY = Chance(0.90, 0.08)
FORESEEN_DOUBTFUL = Chance(0.50, 0.20)
FORESEEN_WET = Chance(0.10, 0.08)


@dataclass(frozen=True, slots=True)
class DryRecord:
    """How dry days follow wet and dry ones, and what that rests on."""

    wet_to_dry: Chance
    dry_to_dry: Chance
    dry: int
    wet: int
    neighbours: int
    last_day: date | None
    last_was_dry: bool | None

    @property
    def evenings(self) -> int:
        return self.dry + self.wet


def local_record(demonstration: Demonstration, now: datetime) -> DryRecord:
    """Read the record from the calls made so far, tonight's too: one query.

    Going ahead is a dry evening, called off for rain or a wet crop a wet one. An
    evening held, or called off for another reason or for none given, says nothing.
    """
    today = evening_of(now, demonstration)
    calls = (
        Call.objects.of(demonstration)
        .newest_of_each()
        .filter(gathering__starts_at__lt=now + DAY)
        .select_related("gathering")
        .order_by("gathering__starts_at", "pk")
    )
    days: dict[date, bool] = {}
    for call in calls:
        dry, day = _was_dry(call), evening_of(call.gathering.starts_at, demonstration)
        if dry is not None and day <= today:
            days[day] = dry
    return dry_record(sorted(days.items()))


def dry_record(days: Sequence[tuple[date, bool]]) -> DryRecord:
    """Mix what was seen, days in their order, with the placeholders.

    Only evenings on neighbouring days tell how a dry day follows another.
    """
    seen: dict[bool, list[bool]] = {True: [], False: []}
    for (day, was_dry), (following, is_dry) in pairwise(days):
        if (following - day).days == 1:
            seen[was_dry].append(is_dry)
    last_day, last_was_dry = days[-1] if days else (None, None)
    dry = sum(was_dry for day, was_dry in days)
    return DryRecord(
        wet_to_dry=_mixed(WET_TO_DRY, seen[False]),
        dry_to_dry=_mixed(DRY_TO_DRY, seen[True]),
        dry=dry,
        wet=len(days) - dry,
        neighbours=len(seen[True]) + len(seen[False]),
        last_day=last_day,
        last_was_dry=last_was_dry,
    )


def _mixed(placeholder: float, seen: list[bool]) -> Chance:
    weight = WORTH + len(seen)
    likely = (WORTH * placeholder + sum(seen)) / weight
    return Chance(likely, (likely * (1 - likely) / (weight + 1)) ** 0.5)


def _was_dry(call: Call) -> bool | None:
    if call.decision == Decision.GO:
        return True
    return False if call.why_off and WhyOff(call.why_off).is_wet else None


def chance_ahead(
    demonstration: Demonstration,
    record: DryRecord,
    plans: Sequence[Plan],
    now: datetime,
) -> dict[date, Ahead]:
    """Say of each day ahead what is known of it: tonight's call, then the forecast.

    Days that neither reaches are left to the chain of dry and wet days. Days without
    a gathering count too, at the hours of the first one, since the next hang on them.
    """
    known: dict[date, Ahead] = {}
    today, zone = evening_of(now, demonstration), demonstration.zone
    rain = RainAhead.objects.of(demonstration).first()
    if rain and plans and rain.made_at > now - STALE:
        by_day = {plan.day: plan for plan in plans}
        for ahead in range(FORESEEN_DAYS):
            day = today + ahead * DAY
            plan = by_day.get(day)
            start, end = _span(plan or plans[0], day, zone)
            most = rain.most_between(max(now, start), end)
            if end > now and most is not None:
                known[day] = _foreseen(most, rain.read_at)
    if record.last_day == today and record.last_was_dry is not None:
        words = _("called dry") if record.last_was_dry else _("called off, wet")
        known[today] = Ahead(Chance(float(record.last_was_dry), 0.0), words)
    return known


def _span(plan: Plan, day: date, zone: ZoneInfo) -> tuple[datetime, datetime]:
    """Return the hours of an evening, moved to a day."""
    start, end = plan.starts_at.astimezone(zone), plan.ends_at.astimezone(zone)
    moved = day - plan.day
    return start + moved, end + moved


def _foreseen(rain_mm_per_h: float, read_at: datetime) -> Ahead:
    if rain_mm_per_h >= LIMITS.rain_stop_mm_per_h:
        return Ahead(FORESEEN_WET, _("forecast wet"), read_at)
    if rain_mm_per_h >= LIMITS.rain_doubtful_mm_per_h:
        return Ahead(FORESEEN_DOUBTFUL, _("forecast doubtful"), read_at)
    return Ahead(FORESEEN_DRY, _("forecast dry"), read_at)


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
        return in_percent(self.chance)

    @property
    def range_words(self) -> str:
        ends = in_percent(self.chance_low), in_percent(self.chance_high)
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
class Basis:
    """What a forecast rests on: the field, the rates, and the weather to come."""

    progress: FieldProgress
    rates: Rates
    weather: DryRecord
    days: dict[date, Ahead]

    def left(self, side: int) -> int:
        """Return the beets still to pull, if so much stands: low, likely or high."""
        stand = self.progress.stand
        expected = {-1: stand.low, 0: stand.likely, 1: stand.high}[side]
        return max(0, expected - self.progress.beets)


@dataclass(frozen=True, slots=True)
class ForecastPage:
    """The finish forecast, before and after what was asked."""

    basis: Basis
    plans: list[Plan]
    before: Finish
    asked: WhatIf
    after: Finish | None

    @property
    def progress(self) -> FieldProgress:
        return self.basis.progress

    @property
    def rates(self) -> Rates:
        return self.basis.rates

    @property
    def shown(self) -> Finish:
        return self.after or self.before

    @property
    def has_counted_enough(self) -> bool:
        """Whether the field and the pace are counted, and not only guessed."""
        counted = self.rates.hand.evenings >= ENOUGH_COUNTED
        return counted and self.progress.stand.is_measured

    @property
    def is_guess(self) -> bool:
        """Whether so little is counted that the range says nothing."""
        return self.before.is_wide and not self.has_counted_enough

    @property
    def read_at(self) -> datetime | None:
        """When the weather forecast was read that some evening's chance comes from."""
        seen = [plan.ahead.read_at for plan in self.plans if plan.ahead]
        return next((moment for moment in seen if moment), None)

    @property
    def left(self) -> Band:
        """Beets still to pull, with their range."""
        return Band(*(self.basis.left(side) for side in SIDES))

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
        weather = self.basis.weather
        wet, dry = weather.wet_to_dry.likely, weather.dry_to_dry.likely
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
    weather = local_record(demonstration, now)
    days = chance_ahead(demonstration, weather, plans, now)
    basis = Basis(progress, rates(demonstration, progress, now), weather, days)
    ahead = [replace(plan, ahead=days.get(plan.day)) for plan in plans]
    before = finish(basis, ahead)
    after = None
    if asked.is_asked:
        after = finish(basis, [asked.applied(plan) for plan in ahead])
    return ForecastPage(basis, ahead, before, asked, after)


def finish(basis: Basis, plans: Sequence[Plan]) -> Finish:
    """Forecast the finish at three paces; nothing is read from the book here.

    The slow end takes every range's worse end at once: the most beets, the slowest
    pulling, only those signed up, the wettest weather. The quick end is its mirror.
    """
    slow, likely, quick = (_forecast(basis, plans, side) for side in SIDES)
    needs = [_needs(plan, basis.rates, slow, likely, quick) for plan in plans]
    return Finish(slow, likely, quick, needs)


def dam_warning(page: ForecastPage, room: Band) -> DamWarning | None:
    """Warn if the dam, with room for so many beets, may be full before the end.

    The reader says how many beets the dam still takes; the tally does not know.
    """
    warning = DamWarning(room, page.left)
    return warning if warning.left.high > room.low else None


def _forecast(basis: Basis, plans: Sequence[Plan], side: int) -> FinishForecast:
    weather, left = basis.weather, basis.left(-side)
    lot = lot_of(left)
    known = _day_before(weather, plans)
    evenings = outlook(plans, basis.rates, pace(basis.rates, side), lot)
    between = _without_gathering(plans, basis.days, known, side)
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


def day_words(day: date) -> str:
    """Write a day as people say it."""
    return date_format(day, "l j F")


def likely_words(page: ForecastPage) -> str:
    """Say it in one sentence: the likely day, or that nobody can tell one yet."""
    shown = page.before
    if page.is_guess:
        if not page.progress.stand.is_measured:
            return _(
                "We can't say yet. Count the beets of one small patch (a perch) to "
                "know how much is left."
            )
        counted = page.rates.hand.evenings
        return (
            _(
                "We can't say yet: too few evenings are counted, %d so far. Add the "
                "beets of the next ones."
            )
            % counted
        )
    if page.left.likely == 0:
        return _("The field is likely to be done already.")
    if shown.even:
        return _("Likely done by %s.") % day_words(shown.even)
    return _("We probably won't finish on the evenings planned so far.")


def finish_words(finish: Finish) -> str:
    """Say when the field is done: an even chance, with the two ends."""
    if finish.last_day is None:
        return _("No pulling evening is posted, so there's nothing to go by.")
    if finish.even:
        likely = _("An even chance that the field is done by %s.")
        likely %= day_words(finish.even)
    else:
        likely = _("Probably not enough evenings.")
    ends = _("If everything goes slowly: %(slow)s. If everything goes well: %(quick)s.")
    quick = _("it is done already")
    return f"{likely} {ends}" % {
        "slow": _done_by(finish.even_slow),
        "quick": quick if finish.may_be_done else _done_by(finish.even_quick),
    }


def _done_by(day: date | None) -> str:
    if day is None:
        return _("not on the evenings posted")
    return _("by %s") % day_words(day)


def chance_words(finish: Finish) -> str:
    """Say how likely the evenings posted are to be enough, with the range."""
    words = _(
        "The chance that it's done by the last evening, %(day)s: %(likely)s, between "
        "%(low)s and %(high)s."
    )
    if in_percent(finish.slow.chance) == in_percent(finish.quick.chance):
        words = _("The chance that it's done by the last evening, %(day)s: %(likely)s.")
    return words % {
        "day": day_words(finish.last_day) if finish.last_day else "",
        "likely": in_percent(finish.likely.chance),
        "low": in_percent(finish.slow.chance),
        "high": in_percent(finish.quick.chance),
    }


def weather_words(page: ForecastPage) -> str:
    """Say what the chances of a dry evening rest on."""
    return record_words(page.basis.weather, is_foreseen=page.read_at is not None)


def record_words(record: DryRecord, *, is_foreseen: bool) -> str:
    """Say what a record of dry days rests on, and whether a forecast stands first."""
    counted = _(
        "A dry day after a dry one: %(dry)s; after a wet one: %(wet)s. From %(count)d "
        "evenings with a call (%(dries)d dry, %(wets)d off for rain), of which "
        "%(pairs)d followed on the day before, mixed with a placeholder that counts "
        "as ten."
    )
    bare = _(
        "A dry day after a dry one: %(dry)s; after a wet one: %(wet)s. Both are "
        "placeholders, without a source, until evenings were called here."
    )
    words = (counted if record.evenings else bare) % {
        "dry": in_percent(record.dry_to_dry.likely),
        "wet": in_percent(record.wet_to_dry.likely),
        "count": record.evenings,
        "dries": record.dry,
        "wets": record.wet,
        "pairs": record.neighbours,
    }
    return f"{words} {_foreseen_words()}" if is_foreseen else words


def _foreseen_words() -> str:
    return _(
        "The next days are from the weather forecast: an evening forecast dry counts "
        "as %(dry)s, doubtful as %(doubtful)s, wet as %(wet)s (placeholders, without "
        "a source)."
    ) % {
        "dry": in_percent(FORESEEN_DRY.likely),
        "doubtful": in_percent(FORESEEN_DOUBTFUL.likely),
        "wet": in_percent(FORESEEN_WET.likely),
    }


def warnings(page: ForecastPage) -> Iterator[str]:
    """Say where the light or the evenings run out before the crop."""
    if page.dark:
        words = ngettext(
            "The light ends before the posted time on one evening, by %(hours).1f "
            "hours: %(day)s, stop at %(stop)s. Only the light is reckoned.",
            "The light ends before the posted time on %(evenings)d evenings, by "
            "%(hours).1f hours in all. The first is %(day)s: stop at %(stop)s. Only "
            "the light is reckoned.",
            len(page.dark),
        )
        first = page.dark[0]
        stop = f"{first.stop:%H:%M}" if first.stop else _("the start, for it has none")
        yield words % {
            "evenings": len(page.dark),
            "hours": page.dark_hours,
            "day": day_words(first.day),
            "stop": stop,
        }
    if page.more_evenings and not page.is_guess:
        words = _(
            "The evenings planned so far run out before the crop does: we need "
            "about %d more, or more people."
        )
        yield words % page.more_evenings
