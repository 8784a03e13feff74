"""The dam before a filling and after it: work, leak, supply, what was asked."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from heritage.calc import supply as sums
from heritage.calc._band import Band
from heritage.dam.models import (
    AskedOf,
    Dam,
    DamWork,
    FlowTest,
    LeakTest,
    Ret,
    Water,
    WaterAsked,
    WorkKind,
)
from heritage.dam.works import words

HOUR = timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class Leaked:
    """A leak test and what it comes to."""

    test: LeakTest
    hours: float
    leak: sums.Leak

    @property
    def is_short(self) -> bool:
        """Whether it was too short to tell a leak from the reading's error."""
        return self.hours < sums.SHORTEST_HOURS

    @property
    def words(self) -> str:
        """What it comes to."""
        return words.leak_words(self.leak)


@dataclass(frozen=True, slots=True)
class Flowed:
    """A measured supply and its flow, in litres a second."""

    test: FlowTest
    flow: Band

    @property
    def is_quick(self) -> bool:
        """Whether the bucket filled too fast to be timed well."""
        return min(self.test.seconds) < sums.SHORTEST_SECONDS

    @property
    def words(self) -> str:
        """What comes in, and from where."""
        return words.flow_words(self.test, self.flow)


@dataclass(frozen=True, slots=True)
class Supply:
    """What comes in and what is lost, by the newest tests; how long it fills.

    ``hours`` is nothing where no flow is known, or the leak may take all of it.
    """

    dam: Dam
    volume_m3: float
    flow: Band | None
    leak: Leaked | None
    hours: Band | None

    @property
    def words(self) -> str:
        """How long it takes to fill, or nothing where nobody has measured."""
        if self.hours:
            return words.hours_words(self.hours, self.volume_m3)
        return words.lost_words() if self.flow else ""


@dataclass(frozen=True, slots=True)
class AskedLine:
    """Who was asked about the water, in words."""

    row: WaterAsked

    @property
    def words(self) -> str:
        return words.asked_words(self.row)


@dataclass(frozen=True, slots=True)
class Works:
    """All that is known of one dam before and after its fillings."""

    supply: Supply
    works: tuple[DamWork, ...]
    leaks: tuple[Leaked, ...]
    flows: tuple[Flowed, ...]
    asked: tuple[WaterAsked, ...]
    rets: tuple[Ret, ...]

    @property
    def dam(self) -> Dam:
        return self.supply.dam

    @property
    def before(self) -> tuple[DamWork, ...]:
        """The work on the dam itself."""
        return tuple(one for one in self.works if one.kind != WorkKind.LOOKED)

    @property
    def looked(self) -> tuple[DamWork, ...]:
        """What its water looked like."""
        return tuple(one for one in self.works if one.kind == WorkKind.LOOKED)

    @property
    def to_take(self) -> tuple[AskedLine, ...]:
        """Who was asked about taking water."""
        return self._about(AskedOf.TAKE)

    @property
    def after(self) -> tuple[AskedLine, ...]:
        """Who was asked about the water after the ret."""
        return self._about(AskedOf.AFTER)

    def _about(self, what: AskedOf) -> tuple[AskedLine, ...]:
        return tuple(AskedLine(one) for one in self.asked if one.about == what)

    @property
    def went(self) -> tuple[str, ...]:
        """Where the water of each ret went, the last first."""
        return tuple(
            words.went_words(ret, ret.water_went_at)
            for ret in self.rets
            if ret.water_went_at
        )

    @property
    def lead(self) -> str:
        """How the dam stands, in one sentence."""
        hours = self.supply.hours
        return words.lead_words(self.water, hours, is_unasked=self.is_unasked)

    @property
    def last(self) -> Ret | None:
        """The ret whose water is in the dam, or was not made good yet."""
        return next((ret for ret in self.rets if ret.clean_at is None), None)

    @property
    def water(self) -> Water:
        """What the water is now."""
        return self.last.water if self.last else Water.CLEAN

    @property
    def is_unasked(self) -> bool:
        """Whether there is spent water, and nobody has been asked about it since."""
        ret = self.last
        if ret is None or ret.water != Water.SPENT:
            return False
        # The regulator may well be asked while the flax still lies in it.
        began = ret.began_at.astimezone(self.dam.demonstration.zone).date()
        return not any(began <= one.row.asked_on for one in self.after)


def leaked(dam: Dam, test: LeakTest) -> Leaked:
    """Reckon what a leak test comes to."""
    first, second = float(test.first_depth_m), float(test.second_depth_m)
    hours = (test.second_at - test.first_at) / HOUR
    middle = min((first + second) / 2, float(dam.depth_m))
    told = sums.leak(
        first_m=first,
        second_m=second,
        hours=hours,
        surface_m2=dam.basin.surface(middle),
        rain_mm=float(test.rain_mm),
    )
    return Leaked(test, hours, told)


def flowed(test: FlowTest) -> Flowed:
    """Reckon the flow of a measured supply."""
    return Flowed(test, sums.bucket_flow(float(test.litres), test.seconds))


def supply_of(dam: Dam) -> Supply:
    """Say how long a dam takes to fill, by its newest tests: two queries."""
    leaks = LeakTest.objects.of_dam(dam).newest_first()[:1]
    flows = FlowTest.objects.of_dam(dam).newest_first()[:1]
    return _supply(
        dam, [leaked(dam, one) for one in leaks], [flowed(one) for one in flows]
    )


def _supply(dam: Dam, leaks: Sequence[Leaked], flows: Sequence[Flowed]) -> Supply:
    volume = dam.basin.volume(float(dam.depth_m))
    leak = leaks[0] if leaks else None
    flow = flows[0].flow if flows else _typed_flow(dam)
    lost = leak.leak.litres if leak else None
    hours = sums.filling_hours(volume, flow, lost) if flow else None
    return Supply(dam, volume, flow, leak, hours)


def _typed_flow(dam: Dam) -> Band | None:
    """Return a flow that somebody typed, whose range nobody knows."""
    if dam.inflow_lps is None:
        return None
    flow = float(dam.inflow_lps)
    return Band(flow, flow, flow)


def works_page(dam: Dam) -> Works:
    """Gather a dam's book before and after its fillings: five queries."""
    leaks = [leaked(dam, one) for one in LeakTest.objects.of_dam(dam).newest_first()]
    flows = [flowed(one) for one in FlowTest.objects.of_dam(dam).newest_first()]
    return Works(
        supply=_supply(dam, leaks, flows),
        works=tuple(DamWork.objects.of_dam(dam).newest_first()),
        leaks=tuple(leaks),
        flows=tuple(flows),
        asked=tuple(WaterAsked.objects.of_dam(dam).newest_first()),
        rets=tuple(
            Ret.objects.in_dam(dam).newest_first().select_related("dam__demonstration")
        ),
    )


def rests_until(dam: Dam) -> date | None:
    """Return until when a dam rests by the organiser's own plan: one query."""
    last = Ret.objects.in_dam(dam).newest_first().first()
    return last.rest_until if last else None


def leave_given(ret: Ret) -> str:
    """Return the newest answer about a ret's water that allowed something: one query.

    It is only what was written down, to be read again and typed as it is meant.
    """
    began = ret.began_at.astimezone(ret.dam.demonstration.zone).date()
    rows = WaterAsked.objects.of_dam(ret.dam).about(AskedOf.AFTER)
    found = rows.asked_since(began).allowed().newest_first().first()
    return words.leave_words(found) if found else ""
