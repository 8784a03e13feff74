"""How much seed goes on a piece of ground, and how many plants came of it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from math import ceil, log
from typing import SupportsFloat

from heritage.calc._band import Band, joined
from heritage.calc._checks import finite, not_negative, positive, whole
from heritage.calc.measures import ACRE_M2
from heritage.calc.reasons import Reason
from heritage.calc.stand import Sample, measured_ratio

# A bushel of seed of 56 lb (from memory) in kilograms.
BUSHEL_KG = 25.40117272
HECTARE_M2 = 10_000
BUSHEL_PER_ACRE_KG_HA = BUSHEL_KG * HECTARE_M2 / float(ACRE_M2)

# What print advises. Plants: ARVALIS and GNIS, 2013. Lost in the field: GNIS 2008,
# an organic farm 2023. A thousand seeds: GNIS, lot to lot.
PLANTS_WANTED = Band(1400, 1600, 1800)
FIELD_LOSS = Band(0.10, 0.15, 0.35)
THOUSAND_SEED_G = Band(4.6, 5.5, 7.4)
DEPTH_CM = Band(1.0, 1.5, 2.5)
# Rows: 10 cm in drilled fields (GNIS), 4 to 8 in hand plots.
ROW_CM = Band(4.0, 10.0, 10.0)
# Years until the same ground has it again: GNIS 6 to 7, Spon's the ninth.
ROTATION_YEARS = Band(6, 7, 9)
# Bands: one to a beet and a tenth to spare, sixty to the bundle (Schools'
# Collection, vol. 0941); the tenth is a judgement.
SPARE_BANDS, BANDS_IN_BUNDLE = 0.10, 60


class SowingNote(StrEnum):
    """What is unusual about a sowing, with the names of its figures."""

    # seeds_m2, low, high: seeds to the square metre.
    THIN = "thin"
    THICK = "thick"
    # grams, low, high.
    SEED_WEIGHT = "seed_weight"
    # cm, low, high.
    DEEP = "deep"
    SHALLOW = "shallow"
    WIDE_ROWS = "wide_rows"
    # years, low, high.
    SOON_AFTER_FLAX = "soon_after_flax"
    # days outside the usual weeks.
    EARLY = "early"
    LATE = "late"


@dataclass(frozen=True, slots=True, kw_only=True)
class SowingFacts:
    """What is known of one sowing; ``None`` for what is not.

    Attributes
    ----------
    sown_on : date or None
        The day.
    seeds_m2, thousand_seed_g : float or None
        Seeds sown, and what a thousand of them weigh. [1/m²], [g]
    depth_cm, row_cm : float or None
        How deep, and from row to row. [cm]
    years_since_flax : int or None
        Years since the same ground had flax.
    northern : bool
        Whether the field lies north of the equator: the usual weeks are known there.
    """

    sown_on: date | None = None
    seeds_m2: float | None = None
    thousand_seed_g: float | None = None
    depth_cm: float | None = None
    row_cm: float | None = None
    years_since_flax: int | None = None
    northern: bool = True


@dataclass(frozen=True, slots=True)
class Bands:
    """Bands to cut, and bundles to tie them in.

    Attributes
    ----------
    bands, bundles : int
        How many of each.
    """

    bands: int
    bundles: int


def seed_rate(seeds_m2: SupportsFloat, thousand_seed_g: SupportsFloat) -> float:
    """Give the weight of seed that so many seeds to the square metre come to.

    Parameters
    ----------
    seeds_m2 : float
        Seeds sown, not negative. [1/m²]
    thousand_seed_g : float
        What a thousand seeds weigh, above nothing. [g]

    Returns
    -------
    float
        Seed. [kg/ha]

    Raises
    ------
    ValueError
        If either cannot be.

    References
    ----------
    .. [1] GNIS, printed at terre-net.fr: 2,000 seeds of 5.0 g are 100 kg/ha.
    """
    seeds = not_negative(seeds_m2, "seeds_m2")
    return seeds * positive(thousand_seed_g, "thousand_seed_g") / 100


def seeds_sown(kg_per_ha: SupportsFloat, thousand_seed_g: SupportsFloat) -> float:
    """Give the seeds to the square metre that a weight of seed holds.

    Parameters
    ----------
    kg_per_ha : float
        Seed, not negative. [kg/ha]
    thousand_seed_g : float
        What a thousand seeds weigh, above nothing. [g]

    Returns
    -------
    float
        Seeds. [1/m²]

    Raises
    ------
    ValueError
        If either cannot be.
    """
    weight = not_negative(kg_per_ha, "kg_per_ha")
    return weight * 100 / positive(thousand_seed_g, "thousand_seed_g")


def seeds_wanted(plants_m2: SupportsFloat, loss: SupportsFloat) -> float:
    """Say how many seeds it takes for the plants that are wanted.

    Parameters
    ----------
    plants_m2 : float
        Plants wanted, not negative. [1/m²]
    loss : float
        Share of the seed that gives no plant, from 0 and below 1. Losses divide: of
        11.1 seeds of which nine in ten grow come 10 plants. [-]

    Returns
    -------
    float
        Seeds. [1/m²]

    Raises
    ------
    ValueError
        If the plants or the loss cannot be.
    """
    lost = not_negative(loss, "loss")
    if lost >= 1:
        raise ValueError(f"loss must be below 1, not {loss}")
    return not_negative(plants_m2, "plants_m2") / (1 - lost)


def usual_seeds() -> Band:
    """Give the seeds to the square metre that the published figures come to.

    Returns
    -------
    Band
        From the fewest plants and losses to the most of both. [1/m²]
    """
    return Band(
        seeds_wanted(PLANTS_WANTED.low, FIELD_LOSS.low),
        seeds_wanted(PLANTS_WANTED.likely, FIELD_LOSS.likely),
        seeds_wanted(PLANTS_WANTED.high, FIELD_LOSS.high),
    )


def plants_expected(seeds_m2: SupportsFloat) -> Band:
    """Say how many plants a number of seeds may give.

    Parameters
    ----------
    seeds_m2 : float
        Seeds sown, above nothing. [1/m²]

    Returns
    -------
    Band
        Plants, after the published losses in the field. [1/m²]

    Raises
    ------
    ValueError
        If there is no seed.
    """
    seeds = positive(seeds_m2, "seeds_m2")
    kept = Band(1 - FIELD_LOSS.high, 1 - FIELD_LOSS.likely, 1 - FIELD_LOSS.low)
    return kept.scaled(seeds)


def bushels_per_acre(kg_per_ha: SupportsFloat) -> float:
    """Give a rate in bushels of 56 lb to the statute acre.

    Parameters
    ----------
    kg_per_ha : float
        Seed, not negative. [kg/ha]

    Returns
    -------
    float
        Bushels of four pecks; the weight of a bushel is from memory. [bu/acre]

    Raises
    ------
    ValueError
        If the rate cannot be.
    """
    return not_negative(kg_per_ha, "kg_per_ha") / BUSHEL_PER_ACRE_KG_HA


def plants_per_m2(counts: Sequence[int], frame_m2: SupportsFloat) -> Band:
    """Say how thick a crop stands, from plants counted in a frame.

    Parameters
    ----------
    counts : sequence of int, length n >= 1
        Plants in the frame at each place, not negative.
    frame_m2 : float
        What the frame encloses, above nothing. [m²]

    Returns
    -------
    Band
        Plants, with a range for the mean that holds eight times in ten; where
        nothing was found, from none to what might have been missed. [1/m²]

    Raises
    ------
    ValueError
        If nothing was counted, or a count or the frame cannot be.

    References
    ----------
    .. [1] As `stand.measured_ratio`: ten frames of 0.1 m² give about ±8 %.
    """
    frame = positive(frame_m2, "frame_m2")
    if not counts:
        raise ValueError("counts must hold one count or more")
    seen = [whole(count, "counts") for count in counts]
    if not sum(seen):
        return Band(0, 0, log(10) / (frame * len(seen)))
    return measured_ratio([Sample(count, frame) for count in seen])


def seed_needed(area_m2: SupportsFloat, rate: Band) -> Band:
    """Say how much seed a piece of ground takes.

    Parameters
    ----------
    area_m2 : float
        Ground, above nothing. [m²]
    rate : Band
        Seed. [kg/ha]

    Returns
    -------
    Band
        Seed. [kg]

    Raises
    ------
    ValueError
        If there is no ground.
    """
    return rate.scaled(positive(area_m2, "area_m2") / HECTARE_M2)


def usual_rate(thousand_seed_g: SupportsFloat | None = None) -> Band:
    """Give the seed rate that the published figures come to.

    Parameters
    ----------
    thousand_seed_g : float or None
        What a thousand of the seeds weigh; ``None`` for the usual weights. [g]

    Returns
    -------
    Band
        Seed. [kg/ha]

    Raises
    ------
    ValueError
        If a weight is given that is not above nothing.
    """
    if thousand_seed_g is None:
        return joined([usual_seeds(), THOUSAND_SEED_G]).scaled(0.01)
    return usual_seeds().scaled(positive(thousand_seed_g, "thousand_seed_g") / 100)


def bands_wanted(beets: int) -> Bands:
    """Say how many bands to make for so many beets, and how many bundles that is.

    Parameters
    ----------
    beets : int
        Beets to be tied, not negative.

    Returns
    -------
    Bands
        One to a beet and a tenth to spare; bundles of sixty.

    Raises
    ------
    ValueError
        If the beets are in parts or below nothing.
    """
    bands = ceil(round(whole(beets, "beets") * (1 + SPARE_BANDS), 6))
    return Bands(bands, ceil(bands / BANDS_IN_BUNDLE))


def sowing_notes(facts: SowingFacts) -> tuple[Reason[SowingNote], ...]:
    """Say what about a sowing lies outside what print knows.

    Parameters
    ----------
    facts : SowingFacts
        What is known of it.

    Returns
    -------
    tuple of Reason
        Codes with their figures. They are remarks: farmers have disputed the date
        and the rate for two hundred years.

    Raises
    ------
    ValueError
        If a figure is not finite.

    References
    ----------
    .. [1] Dates: from late March (Slator, 1724) to late May; usually 10 April to 15
       May in Ireland.
    """
    found = (
        *_rated(facts.seeds_m2, usual_seeds(), SowingNote.THIN, SowingNote.THICK),
        *_rated(
            facts.thousand_seed_g,
            THOUSAND_SEED_G,
            SowingNote.SEED_WEIGHT,
            SowingNote.SEED_WEIGHT,
        ),
        *_rated(facts.depth_cm, DEPTH_CM, SowingNote.SHALLOW, SowingNote.DEEP),
        *_rated(facts.row_cm, ROW_CM, None, SowingNote.WIDE_ROWS),
        *_rated(
            facts.years_since_flax, ROTATION_YEARS, SowingNote.SOON_AFTER_FLAX, None
        ),
    )
    return (*found, *_dated(facts))


def _rated(
    value: float | None, usual: Band, below: SowingNote | None, above: SowingNote | None
) -> tuple[Reason[SowingNote], ...]:
    if value is None:
        return ()
    number = finite(value, str(below or above))
    code = below if number < usual.low else above if number > usual.high else None
    if code is None:
        return ()
    figures = {"value": number, "low": usual.low, "high": usual.high}
    return (Reason(code, figures),)


def _dated(facts: SowingFacts) -> tuple[Reason[SowingNote], ...]:
    """Compare the day with the widest weeks in print, north of the equator alone."""
    day = facts.sown_on
    if day is None or not facts.northern:
        return ()
    first, last = date(day.year, 3, 20), date(day.year, 5, 31)
    if day < first:
        return (Reason(SowingNote.EARLY, {"days": (first - day).days}),)
    if day > last:
        return (Reason(SowingNote.LATE, {"days": (day - last).days}),)
    return ()
