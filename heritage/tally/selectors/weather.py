"""The local record of dry and wet evenings, as the calls tell it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _

from heritage.calc.weather import Limits
from heritage.gatherings.models import Call, Decision, RainAhead, WhyOff
from heritage.gatherings.selectors import evening_of
from heritage.season.models import Demonstration
from heritage.tally.selectors.chances import Ahead, Chance
from heritage.tally.selectors.outlook import Plan

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
