"""When the field will be done, and what would change it."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from itertools import pairwise
from math import ceil
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Count, Exists, OuterRef, Q, Sum
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from heritage.calc.pulling import (
    Band,
    Evening,
    FinishForecast,
    finish_forecast,
    machine_rate,
    person_rate,
    tiers_needed,
    turnout_capacity,
)
from heritage.calc.stand import Sample, measured_ratio
from heritage.calc.weather import Limits
from heritage.gatherings.ground.selectors import Light, evening_of, light_of
from heritage.gatherings.models import (
    Call,
    Decision,
    Gathering,
    RainAhead,
    SignUp,
    Station,
    StationKind,
    Turnout,
    WhyOff,
)
from heritage.season.models import Demonstration, Stage
from heritage.tally.models import Entry, Way, Work, WorkKind
from heritage.tally.selectors import FieldProgress, Stay, field_progress

# Until evenings were measured: half the crew new to it. A placeholder.
NOVICES = 0.5
# What is often said of the old machines, without a source.
MACHINE_HANDS = 8
# Beets to a cart's load until loads were counted: our own guess, no source.
LOAD = Band(36, 60, 96)
# Placeholder for the share of those signed up who come; it weighs as five people.
SHARE, SHARE_WORTH = 0.6, 5
# The usual turnout is that of so many evenings last pulled on.
LAST_EVENINGS = 4


@dataclass(frozen=True, slots=True)
class Rate:
    """Beets to the hour (or to the load), and what that rests on."""

    band: Band
    evenings: int
    default: str

    @property
    def words(self) -> str:
        """Where the figure comes from."""
        if not self.evenings:
            return _("default until measured: %s") % self.default
        words = ngettext(
            "measured on %d evening", "measured on %d evenings", self.evenings
        )
        return words % self.evenings


@dataclass(frozen=True, slots=True)
class Share:
    """The share of those with a place who come."""

    likely: float
    came: int
    held: int
    evenings: int


@dataclass(frozen=True, slots=True)
class Rates:
    """Everything that says what an evening comes to."""

    hand: Rate
    machine: Rate
    load: Rate
    share: Share
    usual_pullers: int


def rates(
    demonstration: Demonstration, progress: FieldProgress, now: datetime
) -> Rates:
    """Read the rates from the book, the turnout and the sign-ups: five queries."""
    by_evening = _hand_beets(demonstration)
    hours = _hand_hours(demonstration)
    hand = [
        (row["measured"] or 0, hours.get(row["gathering"], 0.0)) for row in by_evening
    ]
    machine, load = _machine_and_loads(demonstration)
    per_m2 = _density(progress)
    last = [row["people"] for row in by_evening[-LAST_EVENINGS:]]
    return Rates(
        hand=_rate(
            hand,
            _scaled(person_rate(novices=NOVICES), per_m2),
            _("a published rate for practised pullers, with half the crew new to it"),
        ),
        machine=_rate(
            machine,
            _scaled(machine_rate(MACHINE_HANDS), per_m2),
            _("as good as eight pullers, which is often said, without a source"),
        ),
        load=_rate(load, LOAD, _("our own guess, no source; count one load")),
        share=_share(demonstration, now),
        usual_pullers=round(sum(last) / len(last)) if last else 0,
    )


def _rate(found: Sequence[tuple[int, float]], default: Band, words: str) -> Rate:
    samples = [Sample(beets, size) for beets, size in found if beets > 0 and size > 0]
    if not samples:
        return Rate(default, 0, words)
    return Rate(measured_ratio(samples), len(samples), words)


def _density(progress: FieldProgress) -> Band:
    """Return the beets to a square metre; of no ground, none."""
    area, stand = progress.area_m2, progress.stand
    if not area:
        return Band(0, 0, 0)
    return Band(stand.low / area, stand.likely / area, stand.high / area)


def _scaled(m2_per_h: Band, per_m2: Band) -> Band:
    """Return beets to the hour: more to the metre takes no longer to pull."""
    return Band(
        m2_per_h.low * per_m2.low,
        m2_per_h.likely * per_m2.likely,
        m2_per_h.high * per_m2.high,
    )


def _hand_beets(demonstration: Demonstration) -> list[Any]:
    """Return each evening's beets by hand of those whose hours are known."""
    timed = Turnout.objects.filter(
        gathering=OuterRef("gathering"),
        volunteer=OuterRef("volunteer"),
        left_at__isnull=False,
    )
    rows = Entry.objects.of(demonstration).pulled(Way.HAND).order_by()
    return list(
        rows.annotate(is_timed=Exists(timed))
        .values("gathering")
        .annotate(
            measured=Sum("beets", filter=Q(is_timed=True)),
            people=Count("volunteer", distinct=True),
        )
        .order_by("gathering__starts_at", "gathering")
    )


def _hand_hours(demonstration: Demonstration) -> dict[int, float]:
    """Return each evening's hours of those who pulled by hand."""
    pulled = Entry.objects.filter(
        gathering=OuterRef("gathering"), volunteer=OuterRef("volunteer"), way=Way.HAND
    )
    rows = Turnout.objects.of(demonstration).filter(
        Exists(pulled), left_at__isnull=False
    )
    spent = rows.order_by().values_list("gathering").annotate(seconds=Sum(Stay()))
    return {gathering: seconds / 3600 for gathering, seconds in spent}


def _machine_and_loads(
    demonstration: Demonstration,
) -> tuple[list[tuple[int, float]], list[tuple[int, float]]]:
    """Return the machine's beets and hours, and beets and loads, by evening."""
    by_machine = Entry.objects.of(demonstration).pulled(Way.MACHINE)
    beets = {row.key: row.beets for row in by_machine.summed_by("gathering")}
    work = Work.objects.of(demonstration).sums_by_gathering()
    evenings = {gathering for gathering, _kind in work}

    def did(gathering: int, kind: WorkKind) -> int:
        return work.get((gathering, kind), 0)

    machine = [
        (
            beets.get(row, 0),
            (did(row, WorkKind.RUNNING) + did(row, WorkKind.STOPPED)) / 60,
        )
        for row in evenings
    ]
    loads = [
        (did(row, WorkKind.CARTED), float(did(row, WorkKind.LOADS))) for row in evenings
    ]
    return machine, loads


def _share(demonstration: Demonstration, now: datetime) -> Share:
    """Return how many of those with a place came, where a turnout was kept."""
    there = Turnout.objects.filter(gathering=OuterRef("gathering"))
    rows = (
        SignUp.objects.of(demonstration)
        .held()
        .filter(Exists(there), gathering__ends_at__lte=now)
        .annotate(is_there=Exists(there.filter(volunteer=OuterRef("volunteer"))))
        .order_by()
        .aggregate(
            held=Count("pk"),
            came=Count("pk", filter=Q(is_there=True)),
            evenings=Count("gathering", distinct=True),
        )
    )
    came, held = rows["came"], rows["held"]
    likely = (SHARE * SHARE_WORTH + came) / (SHARE_WORTH + held)
    return Share(likely, came, held, rows["evenings"])


@dataclass(frozen=True, slots=True)
class Chance:
    """A chance, and how far it may be out."""

    likely: float
    spread: float

    def at(self, side: int) -> float:
        """Return the chance itself, or its low (-1) or high (1) end."""
        return min(1.0, max(0.0, self.likely + side * self.spread))


@dataclass(frozen=True, slots=True)
class Ahead:
    """How likely a day ahead is to be dry, by tonight's call or by a forecast."""

    dry: Chance
    words: str
    # When the forecast was read; nothing for a call.
    read_at: datetime | None = None


def percent(chance: float) -> str:
    """Write a chance; what is not certain never looks so."""
    if 0 < chance < 0.01:
        return _("under 1 %")
    if 0.99 < chance < 1:
        return _("over 99 %")
    return f"{round(100 * chance)} %"


HOUR = timedelta(hours=1)
# The placeholder of calc for how alike the evenings' turnouts are.
EVENNESS = 5.0
# A field is carried through the chances in at most so many lots of beets.
LOTS = 1_000
# So many people are reckoned one by one; more of them in groups.
MOST_GROUPS = 48


@dataclass(frozen=True, slots=True)
class Plan:
    """One evening ahead on which flax may be pulled."""

    day: date
    posted_hours: float
    lit_hours: float
    machine_hours: float
    signed_up: int
    has_machine: bool
    stop: datetime | None
    starts_at: datetime
    ends_at: datetime
    earlier_hours: float = 0.0
    is_lost: bool = False
    more: int = 0
    ahead: Ahead | None = None

    def dry_chance(self, side: int) -> float | None:
        """Return how likely it is to be dry, or nothing where the days before tell."""
        if self.is_lost:
            return 0.0
        return self.ahead.dry.at(side) if self.ahead else None

    @property
    def dark_hours(self) -> float:
        """Hours that are posted and have no light."""
        return max(0.0, self.posted_hours - self.lit_hours)

    def expected(self, rates: Rates, side: int) -> int:
        """Return how many to reckon with as signed up; the low side adds nobody.

        Evenings further off have few names yet: there the usual turnout counts.
        """
        usual = 0
        if side >= 0 and rates.share.likely:
            usual = ceil(rates.usual_pullers / rates.share.likely)
        return max(self.signed_up, usual) + self.more

    def pullers(self, rates: Rates) -> int:
        """Return how many are likely to come and pull."""
        return round(self.expected(rates, 0) * rates.share.likely)


@dataclass(frozen=True, slots=True)
class Pace:
    """One way that things may go: low, likely or high."""

    side: int
    hand: float
    machine: float


def pace(rates: Rates, side: int) -> Pace:
    """Take every rate's same end."""

    def end(band: object) -> float:
        return float(getattr(band, {-1: "low", 0: "likely", 1: "high"}[side]))

    return Pace(side, end(rates.hand.band), end(rates.machine.band))


def plans(demonstration: Demonstration, now: datetime) -> list[Plan]:
    """Return the posted pulling evenings still to come, a day each: two queries."""
    rows = list(
        Gathering.objects.of(demonstration)
        .going_ahead()
        .filter(stage=Stage.PULLING)
        .upcoming(now)
        .for_page()
    )
    stations: dict[int, list[Station]] = {row.pk: [] for row in rows}
    for station in Station.objects.filter(gathering__in=rows).with_counts():
        stations[station.gathering_id].append(station)
    days: dict[date, Plan] = {}
    for row in rows:
        plan = _plan(row, stations[row.pk], now)
        days[plan.day] = _joined(days[plan.day], plan) if plan.day in days else plan
    return [days[day] for day in sorted(days)]


def outlook(plans: Sequence[Plan], rates: Rates, pace: Pace, lot: int) -> list[Evening]:
    """Say what each evening may pull, in lots, at one pace."""
    return [
        Evening(
            plan.day,
            _capacity(plan, rates, pace, lot),
            dry_chance=plan.dry_chance(pace.side),
        )
        for plan in plans
    ]


def beets(plan: Plan, rates: Rates, pace: Pace) -> int:
    """Return what a dry evening pulls if the likely share comes."""
    people = plan.expected(rates, pace.side) * rates.share.likely
    return int(people * pace.hand * plan.lit_hours + _by_machine(plan, pace))


def tiers(plan: Plan, rates: Rates) -> int:
    """Return how many must tie behind the pullers."""
    return tiers_needed(plan.pullers(rates))


def lot_of(left: int) -> int:
    """Return how many beets to reckon as one, so that a large field stays quick."""
    return max(1, ceil(left / LOTS))


def _capacity(
    plan: Plan, rates: Rates, pace: Pace, lot: int
) -> tuple[tuple[int, float], ...]:
    each = int(100 * pace.hand * plan.lit_hours)
    machine = _by_machine(plan, pace)
    # A crowd is reckoned in groups: whether they come hangs on the evening far more
    # than on each of them, and the chances stay few.
    people = plan.expected(rates, pace.side)
    group = max(1, ceil(people / MOST_GROUPS))
    turnout = turnout_capacity(
        round(people / group),
        each * group,
        mean_share=rates.share.likely,
        evenness=EVENNESS,
    )
    # Hundredths of a beet until here: rounding each person's would lose many.
    return tuple(
        (int((hundredths / 100 + machine) / lot), chance)
        for hundredths, chance in turnout
    )


def _by_machine(plan: Plan, pace: Pace) -> float:
    return pace.machine * plan.machine_hours if plan.has_machine else 0.0


def _plan(gathering: Gathering, stations: Iterable[Station], now: datetime) -> Plan:
    light = light_of(gathering)
    start = max(now, gathering.starts_at)
    stations = list(stations)
    pulling = [row for row in stations if row.kind == StationKind.PULL]
    return Plan(
        day=evening_of(gathering.starts_at, gathering.demonstration),
        posted_hours=(gathering.ends_at - start) / HOUR,
        lit_hours=light.hours_left(start, gathering.ends_at),
        machine_hours=_machine_hours(light, start, gathering.ends_at),
        signed_up=sum(row.held for row in pulling or stations),
        has_machine=any(row.kind == StationKind.DRIVE and row.held for row in stations),
        stop=light.stop,
        starts_at=gathering.starts_at,
        ends_at=gathering.ends_at,
        earlier_hours=light.hours_left(now, gathering.starts_at),
    )


def _machine_hours(light: Light, start: datetime, end: datetime) -> float:
    """Return the hours of light before sunset: no machine runs in the dusk."""
    end = min(end, light.sunset) if light.sunset else end
    return light.hours_left(start, max(start, end))


def _joined(one: Plan, other: Plan) -> Plan:
    """Join two gatherings of one day: their people are added, at the longer hours."""
    return Plan(
        day=one.day,
        posted_hours=max(one.posted_hours, other.posted_hours),
        lit_hours=max(one.lit_hours, other.lit_hours),
        machine_hours=max(one.machine_hours, other.machine_hours),
        signed_up=one.signed_up + other.signed_up,
        has_machine=one.has_machine or other.has_machine,
        stop=one.stop,
        starts_at=min(one.starts_at, other.starts_at),
        ends_at=max(one.ends_at, other.ends_at),
        earlier_hours=min(one.earlier_hours, other.earlier_hours),
    )


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


def _mixed(held: float, seen: list[bool]) -> Chance:
    weight = WORTH + len(seen)
    likely = (WORTH * held + sum(seen)) / weight
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
    found: dict[date, Ahead] = {}
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
                found[day] = _foreseen(most, rain.read_at)
    if record.last_day == today and record.last_was_dry is not None:
        words = _("called dry") if record.last_was_dry else _("called off, wet")
        found[today] = Ahead(Chance(float(record.last_was_dry), 0.0), words)
    return found


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


def day_words(day: date) -> str:
    """Write a day as people say it."""
    return date_format(day, "l j F")


def likely_words(page: ForecastPage) -> str:
    """Say it in one sentence: the likely day, or that nobody can tell one yet."""
    shown = page.before
    if shown.is_wide and not page.has_counted_enough:
        if not page.progress.stand.is_measured:
            return _(
                "Too few counted evenings to say. Count the beets of one perch (a "
                "small patch) to know how much is left."
            )
        counted = page.rates.hand.evenings
        return (
            _(
                "Too few counted evenings to say: %d so far. Write in the beets of the "
                "next ones."
            )
            % counted
        )
    if page.left.likely == 0:
        return _("The field is likely to be done already.")
    if shown.even:
        return _("Likely done by %s.") % day_words(shown.even)
    return _("Not likely to be done on the evenings posted.")


def finish_words(finish: Finish) -> str:
    """Say when the field is done: an even chance, with the two ends."""
    if finish.last_day is None:
        return _("No pulling evening is posted, so there is nothing to reckon from.")
    if finish.even:
        said = _("An even chance that the field is done by %s.")
        said %= day_words(finish.even)
    else:
        said = _("Less than an even chance that the evenings posted are enough.")
    ends = _("If everything goes slowly: %(slow)s. If everything goes well: %(quick)s.")
    quick = _("it is done already")
    return f"{said} {ends}" % {
        "slow": _done_by(finish.even_slow),
        "quick": quick if finish.may_be_done else _done_by(finish.even_quick),
    }


def _done_by(day: date | None) -> str:
    if day is None:
        return _("not on the evenings posted")
    return _("by %s") % day_words(day)


def chance_words(finish: Finish) -> str:
    """Say how likely the evenings posted are to be enough, with the range."""
    said = _(
        "The chance that it is done when the last evening posted is over, %(day)s: "
        "%(likely)s, between %(low)s and %(high)s."
    )
    return said % {
        "day": day_words(finish.last_day) if finish.last_day else "",
        "likely": percent(finish.likely.chance),
        "low": percent(finish.slow.chance),
        "high": percent(finish.quick.chance),
    }


def weather_words(page: ForecastPage) -> str:
    """Say what the chances of a dry evening rest on."""
    record = page.weather
    held = _(
        "A dry day after a dry one: %(dry)s; after a wet one: %(wet)s. From %(count)d "
        "evenings with a call (%(dries)d dry, %(wets)d off for rain), of which "
        "%(pairs)d followed on the day before, mixed with a placeholder that weighs "
        "as much as ten."
    )
    bare = _(
        "A dry day after a dry one: %(dry)s; after a wet one: %(wet)s. Both are "
        "placeholders, without a source, until evenings were called here."
    )
    said = (held if record.evenings else bare) % {
        "dry": percent(record.dry_to_dry.likely),
        "wet": percent(record.wet_to_dry.likely),
        "count": record.evenings,
        "dries": record.dry,
        "wets": record.wet,
        "pairs": record.neighbours,
    }
    if page.read_at is None:
        return said
    return f"{said} {_forecast_words(page)}"


def _forecast_words(page: ForecastPage) -> str:
    return _(
        "The next days are from the weather forecast: an evening forecast dry counts "
        "as %(dry)s, doubtful as %(doubtful)s, wet as %(wet)s (placeholders, without "
        "a source)."
    ) % {
        "dry": percent(FORESEEN_DRY.likely),
        "doubtful": percent(FORESEEN_DOUBTFUL.likely),
        "wet": percent(FORESEEN_WET.likely),
    }


def warnings(page: ForecastPage) -> Iterator[str]:
    """Say where the light or the evenings run out before the crop."""
    if page.dark:
        said = ngettext(
            "The light ends before the posted time on one evening, by %(hours).1f "
            "hours: %(day)s, stop at %(stop)s. Only the light is reckoned.",
            "The light ends before the posted time on %(evenings)d evenings, by "
            "%(hours).1f hours in all. The first is %(day)s: stop at %(stop)s. Only "
            "the light is reckoned.",
            len(page.dark),
        )
        first = page.dark[0]
        stop = f"{first.stop:%H:%M}" if first.stop else _("the start, for it has none")
        yield said % {
            "evenings": len(page.dark),
            "hours": page.dark_hours,
            "day": day_words(first.day),
            "stop": stop,
        }
    if page.more_evenings:
        said = _(
            "The evenings posted run out before the crop does, as things look: post "
            "about %d more, or ask more people."
        )
        yield said % page.more_evenings
