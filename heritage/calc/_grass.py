"""From the dam to the grass: wet beets, hands, room, rows and the days to turn."""

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from typing import Final

from ._band import Band, joined
from ._checks import not_negative, positive, whole

# Our own reckoning from the room between wet stems; no published wet weight was found.
WET_OF_DRY_DRAINED: Final = Band(2.3, 2.8, 3.5)
WET_OF_DRY_FROM_DAM: Final = Band(3.0, 3.8, 4.7)
# The Flax Society's directions, from memory.
DRAIN_H: Final = Band(12.0, 18.0, 24.0)
# Beets out and up the bank in a person's hour: our own judgement, no source.
LIFT_PACE: Final = Band(15.0, 30.0, 60.0)
# One in the dam, one on the bank to take, one who only watches: common practice.
FEWEST_AT_LIFT: Final = 3

# Our own reckoning: 0.3 kg of retted straw to the square metre, per kg of dry crop.
GRASS_M2_PER_KG: Final = Band(5 / 3, 7.5 / 3, 15 / 3)
# Early Encyclopaedia Britannica: rows overlap 3 to 4 in; Manual of Flax Culture: 2 in.
OVERLAP_M: Final = 0.08
STEM_M: Final = 0.85

# The Flax Society's directions, from memory: 6 to 8 days if showery, 10 to 12 if dry.
SHOWERY_DAYS: Final = Band(6.0, 7.0, 8.0)
DRY_DAYS: Final = Band(10.0, 11.0, 12.0)
LONGEST_DAYS: Final = 14
# Turned two or three times; weekly in one source, almost daily in constant rain in
# another. Four days is our own choice among them.
TURN_EVERY: Final = 4
TURN_EVERY_SOAKED: Final = 2
TURN_WITHIN: Final = 7
# A day of rain, and wind in which straw blows about: our own measures.
RAIN_DAY_MM: Final = 1.0
TOO_WINDY_MS: Final = 8.0
SOAKED_DAYS: Final = 3


@dataclass(frozen=True, slots=True)
class Hands:
    """How many people a piece of work takes in a given time.

    Attributes
    ----------
    fewest, likely, most : int
        People; `most` if all goes slowly.
    """

    fewest: int
    likely: int
    most: int


@dataclass(frozen=True, slots=True)
class GrassDay:
    """The weather of one day on the grass, as it was or as it is forecast.

    Attributes
    ----------
    day : date
        The day.
    rain_mm : float or None
        Rain, if known. [mm]
    wind_ms : float or None
        Mean wind, if known. [m/s]
    """

    day: date
    rain_mm: float | None = None
    wind_ms: float | None = None

    @property
    def is_wet(self) -> bool:
        """Whether it rained enough to speak of."""
        return self.rain_mm is not None and self.rain_mm >= RAIN_DAY_MM

    @property
    def is_windy(self) -> bool:
        """Whether turned straw would blow about."""
        return self.wind_ms is not None and self.wind_ms >= TOO_WINDY_MS


class TurnReason(StrEnum):
    """Why a day is proposed for turning."""

    BY_DAYS = "by_days"
    BEFORE_RAIN = "before_rain"
    SOAKED = "soaked"
    AFTER_WIND = "after_wind"


@dataclass(frozen=True, slots=True)
class Turn:
    """A day proposed for turning, and why that one."""

    day: date
    reason: TurnReason


@dataclass(frozen=True, slots=True)
class GrassPlan:
    """What is proposed for flax on the grass.

    Attributes
    ----------
    turns : tuple of Turn
        Days to turn that are still to come.
    first, likely, last : date
        When a test may find it ready to bring in. A test decides, never the date.
    showery_share : float or None
        Share of the days known that were or will be wet. [-]
    """

    turns: tuple[Turn, ...]
    first: date
    likely: date
    last: date
    showery_share: float | None


def wet_beet(beet_kg: Band, *, drained: bool) -> Band:
    """Return what a retted beet weighs wet.

    Parameters
    ----------
    beet_kg : Band
        What it weighed dry, before the dam. [kg]
    drained : bool
        Whether it has stood for 12 to 24 hours, or comes straight from the dam.

    Returns
    -------
    Band
        Its weight with the water. [kg]
    """
    factor = WET_OF_DRY_DRAINED if drained else WET_OF_DRY_FROM_DAM
    return joined((beet_kg, factor))


def hands_to_lift(beets: int, hours: float, pace: Band = LIFT_PACE) -> Hands:
    """Return how many people get so many beets out in the hours there are.

    Parameters
    ----------
    beets : int
        Beets in the dam.
    hours : float
        Hours of light, above zero. [h]
    pace : Band
        Beets one person moves in an hour. [1/h]

    Returns
    -------
    Hands
        People, the one who only watches among them.
    """
    work = whole(beets, "beets") / positive(hours, "hours")
    return Hands(*(_people(work, each) for each in (pace.high, pace.likely, pace.low)))


def _people(beets_per_hour: float, pace: float) -> int:
    # One more, who only watches from the bank.
    return max(FEWEST_AT_LIFT, math.ceil(beets_per_hour / positive(pace, "pace")) + 1)


def grass_area(beets: int, beet_kg: Band) -> Band:
    """Return the grass that so many beets want, spread so thin that it shows.

    Parameters
    ----------
    beets : int
        Beets to spread.
    beet_kg : Band
        What one weighed dry, before the dam. [kg]

    Returns
    -------
    Band
        Grass. [m²]
    """
    return joined((beet_kg, GRASS_M2_PER_KG)).scaled(whole(beets, "beets"))


def grass_rows(
    area_m2: float,
    row_m: float,
    *,
    stem_m: float = STEM_M,
    overlap_m: float = OVERLAP_M,
) -> int:
    """Return how many rows of a length cover an area.

    Parameters
    ----------
    area_m2 : float
        Grass to cover. [m²]
    row_m : float
        Length of a row, above zero. [m]
    stem_m, overlap_m : float
        How long the stems are, and how far one row lies over the next. [m]

    Returns
    -------
    int
        Rows, the last perhaps not full.

    Raises
    ------
    ValueError
        If the rows would lie over each other whole.
    """
    stem, overlap = positive(stem_m, "stem_m"), not_negative(overlap_m, "overlap_m")
    if overlap >= stem:
        raise ValueError("overlap_m must be below stem_m")
    row = positive(row_m, "row_m") * (stem - overlap)
    return math.ceil(not_negative(area_m2, "area_m2") / row)


def grass_plan(
    spread_on: date,
    weather: Sequence[GrassDay] = (),
    *,
    turned: Collection[date] = (),
    today: date | None = None,
) -> GrassPlan:
    """Propose the days to turn, and say when a test may find it ready.

    Parameters
    ----------
    spread_on : date
        When it was spread.
    weather : sequence of GrassDay
        Days as they were and as they are forecast; gaps are taken to be dry.
    turned : collection of date
        When it was turned.
    today : date or None
        Turns before it are not proposed any more; the day of spreading if not given.

    Returns
    -------
    GrassPlan
        Turns still to come, and the days from first to last.

    References
    ----------
    .. [1] Our own rule, from printed directions: turn every few days, before rain, if
       the wind allows, and closer together in constant rain.
    """
    days = {one.day: one for one in weather if one.day >= spread_on}
    share = _showery(tuple(days.values()))
    length = _length(share)
    first, likely, last = (
        spread_on + timedelta(days=round(each))
        for each in (length.low, length.likely, length.high)
    )
    start = max([spread_on, *turned])
    turns = _turns(start, likely, days, today or spread_on)
    return GrassPlan(tuple(turns), first, likely, last, share)


def _showery(days: Sequence[GrassDay]) -> float | None:
    known = [day.is_wet for day in days if day.rain_mm is not None]
    return sum(known) / len(known) if known else None


def _length(share: float | None) -> Band:
    """Return the days on the grass, between the dry figures and the showery."""
    if share is None:
        return Band(SHOWERY_DAYS.low, (7 + 11) / 2, DRY_DAYS.high)
    ends = zip(_ends(DRY_DAYS), _ends(SHOWERY_DAYS), strict=True)
    return Band(*(dry + share * (showery - dry) for dry, showery in ends))


def _ends(band: Band) -> tuple[float, float, float]:
    return band.low, band.likely, band.high


def _turns(
    start: date, until: date, days: dict[date, GrassDay], today: date
) -> list[Turn]:
    """Go from turn to turn until the flax is likely to be ready."""
    turns: list[Turn] = []
    last = start
    while True:
        turn = _next_turn(last, days, today)
        if turn.day >= until:
            return turns
        turns.append(turn)
        last = turn.day


def _next_turn(last: date, days: dict[date, GrassDay], today: date) -> Turn:
    every, reason = TURN_EVERY, TurnReason.BY_DAYS
    if _is_soaked(last, days):
        every, reason = TURN_EVERY_SOAKED, TurnReason.SOAKED
    day = last + timedelta(days=every)
    if reason is TurnReason.BY_DAYS:
        day, reason = _before_rain(day, days)
    # What should have been turned by now is turned now.
    return _after_wind(max(day, today, last + timedelta(days=1)), reason, last, days)


def _is_soaked(last: date, days: dict[date, GrassDay]) -> bool:
    """Tell whether it rains on every one of the days that follow."""
    following = [days.get(last + timedelta(days=n)) for n in range(1, SOAKED_DAYS + 1)]
    return all(day and day.is_wet for day in following)


def _before_rain(due: date, days: dict[date, GrassDay]) -> tuple[date, TurnReason]:
    """Move a turn to the dry day before rain, within a day of when it is due."""
    for day in (due, due - timedelta(days=1), due + timedelta(days=1)):
        here, after = days.get(day), days.get(day + timedelta(days=1))
        if after and after.is_wet and not (here and here.is_wet):
            return day, TurnReason.BEFORE_RAIN
    return due, TurnReason.BY_DAYS


def _after_wind(
    day: date, reason: TurnReason, last: date, days: dict[date, GrassDay]
) -> Turn:
    """Wait for the wind to drop, but not for ever."""
    calm = day
    while (weather := days.get(calm)) and weather.is_windy:
        calm += timedelta(days=1)
        if (calm - last).days >= TURN_WITHIN:
            break
    return Turn(calm, reason if calm == day else TurnReason.AFTER_WIND)
