"""Dams: what they hold, what holds the crop under, and what is in them."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Prefetch
from django.utils.translation import gettext as _

from heritage.calc import dam as sums
from heritage.dam.models import Check, Dam, Reading, Ret, Water
from heritage.dam.selectors.rets import RetState, ret_state
from heritage.season.models import Demonstration
from heritage.tally.models import Entry

PHASES = (sums.Phase.DRY, sums.Phase.GREEN, sums.Phase.GASSING, sums.Phase.END)


@dataclass(frozen=True, slots=True)
class BeetsLeft:
    """The beets that may still go into a dam: what was pulled and is not in one."""

    pulled: int
    steeped: int

    @property
    def free(self) -> int:
        """How many are left; none where more went in than the tally has."""
        return max(0, self.pulled - self.steeped)


@dataclass(frozen=True, slots=True)
class DamState:
    """A dam, what its water is and, if there is flax in it, how its ret stands."""

    dam: Dam
    water: Water
    ret: RetState | None

    @property
    def is_clean(self) -> bool:
        """Whether a ret may begin in it."""
        return self.water == Water.CLEAN


@dataclass(frozen=True, slots=True)
class StoneRow:
    """The stone that may be wanted in one phase: an estimate, never confirmed."""

    phase: sums.Phase
    words: str
    ballast: sums.Ballast
    stones_low: int
    stones_likely: int
    stones_high: int

    @property
    def is_lightened(self) -> bool:
        """Whether the likely weight is none at all: the stones come off."""
        return self.ballast.likely_kg == 0


@dataclass(frozen=True, slots=True)
class StonePlan:
    """The stones for now: by what was seen, or for every phase it may be in."""

    ballast: sums.Ballast
    low: int
    likely: int
    high: int
    seen: sums.Phase | None
    end_percent: int | None

    @property
    def is_over(self) -> bool:
        """Whether it was seen that the flax holds itself down."""
        return self.seen is sums.Phase.END


@dataclass(frozen=True, slots=True)
class DamPage:
    """All that is known of one dam."""

    dam: Dam
    volume_m3: float
    surface_m2: float
    fill_hours: float | None
    capacity: sums.Capacity
    is_deep: bool
    stones: tuple[StoneRow, ...]
    stones_for_kg: float
    plan: StonePlan | None
    going: RetState | None
    past: tuple[Ret, ...]
    last_water: Ret | None

    @property
    def water(self) -> Water:
        """What its water is now."""
        return self.last_water.water if self.last_water else Water.CLEAN

    @property
    def is_clean(self) -> bool:
        """Whether a ret may begin in it."""
        return self.water == Water.CLEAN


def beets_left(demonstration: Demonstration) -> BeetsLeft:
    """Set what the tally has against what went into the dams: two queries."""
    return BeetsLeft(
        pulled=Entry.objects.of(demonstration).beets(),
        steeped=Ret.objects.of(demonstration).beets(),
    )


def dam_states(demonstration: Demonstration, now: datetime) -> tuple[DamState, ...]:
    """Say what is in each dam of a demonstration."""
    dams = Dam.objects.of(demonstration).by_name().select_related("demonstration")
    going = Prefetch(
        "rets",
        queryset=Ret.objects.with_its_water().prefetch_related(
            Prefetch("readings", Reading.objects.standing().in_order(), to_attr="log"),
            Prefetch("checks", Check.objects.newest_first(), to_attr="book"),
        ),
        to_attr="filled",
    )
    return tuple(_state(dam, now) for dam in dams.prefetch_related(going))


def _state(dam: Dam, now: datetime) -> DamState:
    # The prefetches above put these lists on the rows.
    for ret in getattr(dam, "filled", []):
        ret.dam = dam
        is_going = ret.lifted_at is None
        state = ret_state(ret, ret.log, ret.book, now) if is_going else None
        return DamState(dam, ret.water, state)
    return DamState(dam, Water.CLEAN, None)


def dam_page(dam: Dam, now: datetime) -> DamPage:
    """Reckon what a dam holds, and gather what is and was in it."""
    rets = tuple(
        Ret.objects.in_dam(dam).newest_first().select_related("dam__demonstration")
    )
    going = next((ret for ret in rets if ret.lifted_at is None), None)
    basin, depth = dam.basin, float(dam.depth_m)
    capacity = sums.capacity(basin, beet_kg=dam.demonstration.beet_kg)
    state = _going_state(going, now) if going else None
    dry_kg = going.dry_kg if going else capacity.dry_kg
    volume = basin.volume(depth)
    inflow = dam.inflow_lps
    return DamPage(
        dam=dam,
        volume_m3=volume,
        surface_m2=basin.surface(depth),
        fill_hours=sums.fill_hours(volume, float(inflow)) if inflow else None,
        capacity=capacity,
        is_deep=depth > sums.DEEPEST_M,
        stones=tuple(_stone_row(dam, dry_kg, phase) for phase in PHASES),
        stones_for_kg=dry_kg,
        plan=_stone_plan(dam, state) if state else None,
        going=state,
        past=tuple(ret for ret in rets if ret.lifted_at),
        last_water=next((ret for ret in rets if ret.clean_at is None), None),
    )


def _going_state(ret: Ret, now: datetime) -> RetState:
    readings = tuple(Reading.objects.in_ret(ret).standing().in_order())
    checks = tuple(Check.objects.in_ret(ret).newest_first())
    return ret_state(ret, readings, checks, now)


def _stone_row(dam: Dam, dry_kg: float, phase: sums.Phase) -> StoneRow:
    weight = sums.ballast(dry_kg, phase, stone_density=float(dam.stone_density))
    return StoneRow(phase, _phase_words(phase), weight, *_counts(dam, weight))


def _counts(dam: Dam, weight: sums.Ballast) -> tuple[int, int, int]:
    low, likely, high = (
        sums.stones(kg, float(dam.stone_kg))
        for kg in (weight.low_kg, weight.likely_kg, weight.high_kg)
    )
    return low, likely, high


def _stone_plan(dam: Dam, state: RetState) -> StonePlan | None:
    """Say what holds the flax under now; nothing while nobody has read or looked."""
    density, dry_kg = float(dam.stone_density), state.ret.dry_kg
    if state.seen:
        weight = sums.ballast(dry_kg, state.seen, stone_density=density)
        return StonePlan(weight, *_counts(dam, weight), state.seen, None)
    if state.progress is None or state.sigma is None:
        return None
    chances = sums.phase_chances(state.progress, state.sigma)
    weight = sums.ballast_by_curve(dry_kg, chances, stone_density=density)
    ended = round(100 * chances[sums.Phase.END])
    return StonePlan(weight, *_counts(dam, weight), None, ended)


def _phase_words(phase: sums.Phase) -> str:
    return {
        sums.Phase.DRY: _("first hours, if the flax went in dry"),
        sums.Phase.GREEN: _("first day, if the flax went in green"),
        sums.Phase.GASSING: _("while it works and gasses, in mid-ret"),
        sums.Phase.END: _("at the end, once you have seen it sink"),
    }[phase]
