"""Sowing a crop, when it will flower, and when to look whether it is fit to pull.

Dates from this module say when to go and look. The crop itself says when to pull:
the lower two thirds of the stems yellow and bare of leaves (ARVALIS). A fungicide
keeps leaves on and drought throws them off, so the leaves alone can mislead.
"""

from collections.abc import Sequence
from dataclasses import astuple, dataclass
from datetime import date, timedelta
from typing import Literal, get_args

from heritage.calc._band import Band
from heritage.calc._checks import finite, not_negative
from heritage.calc._growth_stages import FlaxStage, stage_at_height
from heritage.calc._heat import (
    Dates,
    DayHeat,
    days_from,
    gathered_heat,
    reached,
    thermal_time,
)
from heritage.calc._pull_anchors import (
    AnchorWindow,
    CropSigns,
    Disagreement,
    PullAnchor,
    PullEstimate,
    PullWarning,
    SeenShare,
)
from heritage.calc._sowing import (
    BUSHEL_PER_ACRE_KG_HA,
    DEPTH_CM,
    FIELD_LOSS,
    PLANTS_WANTED,
    THOUSAND_SEED_G,
    Bands,
    SowingFacts,
    SowingNote,
    bands_wanted,
    bushels_per_acre,
    plants_expected,
    plants_per_m2,
    seed_needed,
    seed_rate,
    seeds_sown,
    seeds_wanted,
    sowing_notes,
    usual_rate,
    usual_seeds,
)
from heritage.calc._when_to_pull import (
    DAYS_TO_PULL,
    READY_DAYS,
    turned_share,
    when_to_pull,
)

__all__ = [
    "BUSHEL_PER_ACRE_KG_HA",
    "DAYS_TO_PULL",
    "DAYS_TO_PULL_FINE",
    "DEPTH_CM",
    "FIELD_LOSS",
    "HEAT_TO_PULL",
    "PLANTS_WANTED",
    "THOUSAND_SEED_G",
    "Anchor",
    "AnchorWindow",
    "Bands",
    "CropDates",
    "CropProfile",
    "CropSigns",
    "Dates",
    "DayHeat",
    "Disagreement",
    "FlaxStage",
    "PullAnchor",
    "PullEstimate",
    "PullWarning",
    "PullWindow",
    "SeenShare",
    "SowingFacts",
    "SowingNote",
    "bands_wanted",
    "bushels_per_acre",
    "crop_dates",
    "plants_expected",
    "plants_per_m2",
    "pull_window",
    "pull_window_by_heat",
    "seed_needed",
    "seed_rate",
    "seeds_sown",
    "seeds_wanted",
    "sowing_notes",
    "stage_at_height",
    "thermal_time",
    "turned_share",
    "usual_rate",
    "usual_seeds",
    "when_to_pull",
]

Anchor = Literal["flower_start", "flower_full", "flower_end"]

# The early practice for the finest fibre, from full flower (Vancouver, 2013).
DAYS_TO_PULL_FINE = Band(10, 12, 14)
HEAT_TO_PULL = Band(300, 350, 400)
LATER_BASE_C = 5.0
# In the field 80 °C d: 45 (Sorlino, in the laboratory) gives five days where witnesses
# count eight to fourteen. Reckoned by us from those.
EMERGENCE_HEAT = Band(45, 80, 130)
FIELD_DEPTH_CM = 1.5
FLOWER_HEAT = Band(500, 550, 620)
READY_HEAT = Band(850, 850, 1000)


@dataclass(frozen=True, slots=True, kw_only=True)
class CropProfile:
    """What a variety needs; every figure is a setting.

    Attributes
    ----------
    emergence_heat, emergence_base_c : Band, float
        Sowing to emergence in the field, 1.5 cm deep: 80 °C d over 2 °C, the base
        of Sorlino (Rev. Fac. Agronomía 21, 2001). [°C d], [°C]
    depth_cm, heat_per_cm : float
        Depth of sowing and what each centimetre more adds to that, 6.9 °C d
        (Sorlino); that it adds is our reading of the abstract. [cm], [°C d/cm]
    flower_heat, ready_heat, later_base_c : Band, Band, float
        Sowing to first flower and to fit to pull, for an early spring fibre
        variety: 550 and 850 °C d over 5 °C (ARVALIS); later ones need more, and how
        much is from memory. [°C d], [°C d], [°C]
    ready_days : Band
        Sowing to fit to pull by the calendar alone: about 100 d (McSorley 1989,
        Clogher; the Schools' Collection, vol. 0941 p. 188). [d]
    """

    emergence_heat: Band = EMERGENCE_HEAT
    emergence_base_c: float = 2.0
    depth_cm: float = FIELD_DEPTH_CM
    heat_per_cm: float = 6.9
    flower_heat: Band = FLOWER_HEAT
    ready_heat: Band = READY_HEAT
    later_base_c: float = LATER_BASE_C
    ready_days: Band = READY_DAYS

    def __post_init__(self) -> None:
        """Refuse needs that cannot be."""
        for name in ("emergence_base_c", "later_base_c"):
            finite(getattr(self, name), name)
        for name in ("depth_cm", "heat_per_cm"):
            not_negative(getattr(self, name), name)
        for name in ("emergence_heat", "flower_heat", "ready_heat", "ready_days"):
            not_negative(getattr(self, name).low, name)


@dataclass(frozen=True, slots=True)
class CropDates:
    """When each stage is reached.

    Attributes
    ----------
    emergence, flower_start, ready : Dates
        By thermal time.
    ready_by_calendar : Dates
        By days from sowing, which needs no temperatures.
    heat : float
        What the crop has gathered by the last day given, over the later base.
        [°C d]
    """

    emergence: Dates
    flower_start: Dates
    ready: Dates
    ready_by_calendar: Dates
    heat: float


@dataclass(frozen=True, slots=True)
class PullWindow:
    """Days on which to look whether the crop is fit to pull.

    Attributes
    ----------
    first, best, last : date
        Earlier gives less fibre, fine but weak, that rets and scutches easily;
        later gives more fibre and seed, brittle, with more tow (ARVALIS).
    """

    first: date
    best: date
    last: date


def crop_dates(
    sown_on: date, daily: Sequence[DayHeat], profile: CropProfile | None = None
) -> CropDates:
    """Find when a sown crop emerges, flowers and is fit to pull.

    Parameters
    ----------
    sown_on : date
        The day of sowing, whose own heat counts.
    daily : sequence of DayHeat, length n
        Temperatures of one day after another, from ``sown_on`` or before: what has
        been measured, and after it a forecast or a usual year.
    profile : CropProfile or None
        What the variety needs; ``None`` for an early spring fibre variety.

    Returns
    -------
    CropDates
        Each stage with its early, likely and late date: the first day by whose end
        the heat has been gathered.

    Raises
    ------
    ValueError
        If a temperature is not finite, or the days have a gap or begin too late.

    References
    ----------
    .. [1] Sorlino, Rev. Fac. Agronomía 21 (2001) 129-134, for emergence.
    .. [2] ARVALIS notes, July 2021, semencesdefrance.com and
       action-agricole-picarde.com, for flower and fibre maturity.
    """
    need = profile or CropProfile()
    days = days_from(sown_on, daily, "sown_on")
    early = gathered_heat(days, need.emergence_base_c)
    later = gathered_heat(days, need.later_base_c)
    extra = (need.depth_cm - FIELD_DEPTH_CM) * need.heat_per_cm
    return CropDates(
        emergence=reached(sown_on, early, need.emergence_heat, extra),
        flower_start=reached(sown_on, later, need.flower_heat),
        ready=reached(sown_on, later, need.ready_heat),
        ready_by_calendar=Dates(
            *(sown_on + timedelta(days=round(n)) for n in astuple(need.ready_days))
        ),
        heat=float(later[-1]) if len(later) else 0.0,
    )


def pull_window(
    *, anchor: Anchor, on: date, days_after: Band | None = None
) -> PullWindow:
    """Say when to look whether the crop is fit to pull, from a day in its flowering.

    The three anchors lie one to two weeks apart, so which of them was seen must
    always be said.

    Parameters
    ----------
    anchor : {"flower_start", "flower_full", "flower_end"}
        What was seen: the first flowers open; the field in full flower; the last
        flowers over.
    on : date
        The day on which it was seen.
    days_after : Band or None
        Days from then to the first, best and last day; ``None`` for the published
        ones. From full flower ``DAYS_TO_PULL_FINE`` is an early practice for the
        finest fibre. [d]

    Returns
    -------
    PullWindow
        The first, the best and the last day.

    Raises
    ------
    ValueError
        If ``anchor`` is none of the three, or ``days_after`` is negative.

    References
    ----------
    .. [1] Flowering lasts 7 d in Normandy (groupe-depestele.com), 7 to 10 d in
       England (flaxland.co.uk), up to 15 d in France (wiki.tripleperformance.fr).
       Others beside ``DAYS_TO_PULL``.
    """
    if anchor not in get_args(Anchor):
        raise ValueError(
            f"anchor must be flower_start, flower_full or flower_end, not {anchor!r}"
        )
    after = days_after or DAYS_TO_PULL[anchor]
    not_negative(after.low, "days_after")
    return PullWindow(*(on + timedelta(days=round(n)) for n in astuple(after)))


def pull_window_by_heat(
    *,
    flower_start: date,
    daily: Sequence[DayHeat],
    heat: Band = HEAT_TO_PULL,
    base_c: float = LATER_BASE_C,
) -> Dates:
    """Say the same from the heat gathered since the first flowers opened.

    Parameters
    ----------
    flower_start : date
        The day on which the first flowers were open; its own heat does not count.
    daily : sequence of DayHeat, length n
        Temperatures of one day after another, from the day after or before.
    heat : Band
        What fibre takes to ripen. [°C d]
    base_c : float
        Base of that heat. [°C]

    Returns
    -------
    Dates
        The first, the best and the last day, as far as the temperatures reach.

    Raises
    ------
    ValueError
        If a temperature is not finite, or the days have a gap or begin too late.

    References
    ----------
    .. [1] ARVALIS, July 2021: flower to fibre maturity, 300 to 400 °C d over 5 °C.
    """
    not_negative(heat.low, "heat")
    start = flower_start + timedelta(days=1)
    return reached(
        start, gathered_heat(days_from(start, daily, "flower_start"), base_c), heat
    )
