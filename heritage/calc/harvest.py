"""The chance that the field is pulled while it is fit, and under water in time.

One forecast of the whole harvest: evenings of pulling by light, weather and hands;
carts that follow; room in the dam; and a window whose ends nobody knows beforehand.
It is exact, as ``pulling.finish_forecast`` is: nothing is sampled.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from enum import StrEnum

import numpy as np

from heritage.calc._checks import fraction
from heritage.calc._harvest_model import (
    LONGEST_WAIT_DAYS,
    Carting,
    FitWindow,
    Harvest,
    PullingEvening,
    Room,
    fit_windows,
)
from heritage.calc._harvest_path import Path, Walk
from heritage.calc._outlook import Chances, Evening

__all__ = [
    "LONGEST_WAIT_DAYS",
    "Carting",
    "Difference",
    "FitWindow",
    "Harvest",
    "HarvestDay",
    "HarvestForecast",
    "Limit",
    "PullingEvening",
    "Room",
    "bottleneck",
    "differences",
    "fit_windows",
    "harvest_forecast",
]

_JUST = 1e-12
# What is nearer than this to certain has no bottleneck; what gains less, is none.
_LEAST_GAIN = 0.005
# So much relief is set against each other in the field: our own judgement.
MORE_HANDS = 2
LONGER_FIT = timedelta(days=7)


class Limit(StrEnum):
    """What holds a harvest back the most."""

    LIGHT = "light"
    WEATHER = "weather"
    HANDS = "hands"
    CARTS = "carts"
    ROOM = "room"
    WINDOW = "window"


@dataclass(frozen=True, slots=True)
class HarvestDay:
    """How a harvest stands at the end of one day.

    Attributes
    ----------
    day : date
        The day.
    pulled : float
        Chance that the field has been pulled by then, inside the window.
    under_water : float
        Chance that all of it is under water too, and none of it waited too long.
    carted : float
        Beets that the carts are to be expected to take that day.
    waiting : float
        Beets to be expected in the stook at its end.
    """

    day: date
    pulled: float
    under_water: float
    carted: float
    waiting: float


@dataclass(frozen=True, slots=True)
class HarvestForecast:
    """How a harvest may go.

    Attributes
    ----------
    pulled, under_water : float
        The chances of ``HarvestDay`` at the end of all.
    by_day : tuple of HarvestDay
        Each day from the first until nothing more can come in time.
    """

    pulled: float
    under_water: float
    by_day: tuple[HarvestDay, ...]

    def day_at(self, q: float) -> date | None:
        """Give the first day by which all is under water with chance ``q``.

        Parameters
        ----------
        q : float
            The chance asked for, 0 to 1.

        Returns
        -------
        date or None
            ``None`` if it never is.
        """
        asked = fraction(q, "q") - _JUST
        return next((one.day for one in self.by_day if one.under_water >= asked), None)


@dataclass(frozen=True, slots=True)
class Difference:
    """What a change does to the chances.

    Attributes
    ----------
    pulled, under_water : float
        How much each chance rises; below nought if it falls.
    after : HarvestForecast
        The forecast with the change.
    """

    pulled: float
    under_water: float
    after: HarvestForecast


def harvest_forecast(harvest: Harvest) -> HarvestForecast:
    """Forecast a harvest, by exact dynamic programming.

    The chance of every number of beets in the field and in the stook, after a dry day
    and after a wet one, is carried from day to day, once for each way that the crop
    may ripen. Nobody pulls before it is fit; an evening is pulled only if it is dry.
    The carts go in any weather and take the oldest first, so that a beet waits too
    long exactly if, on the day it was pulled, the carts of the days after it cannot
    take all that stands before it, or the dam has no room for so much.

    Parameters
    ----------
    harvest : Harvest
        The field, the evenings, the carts and the dam. A field of more than 60 beets
        is reckoned in lots; what an evening pulls keeps its mean.

    Returns
    -------
    HarvestForecast
        Chances and expected carting by day.

    References
    ----------
    .. [1] For the weather, see ``pulling.finish_forecast``.
    .. [2] Field to dam: the same evening (Spon's), early the next day (1911), stooked
       3 to 4 days (1902).
    """
    path = Path(harvest)
    walks: dict[int, Walk] = {}
    pulled, under_water, to_cart, standing = np.zeros((4, len(path.days)))
    for window in harvest.windows:
        alike = path.unfit(window)
        if alike not in walks:
            walks[alike] = path.walk(window.first)
        walk, share = walks[alike], window.chance
        by_then = path.course(walk, window)
        pulled += share * by_then[0]
        under_water += share * by_then[1]
        to_cart += share * np.array(walk.to_cart)
        standing += share * np.array(walk.standing)
    return _told(path, pulled, under_water, to_cart, standing)


def _told(path: Path, *by_day: Chances) -> HarvestForecast:
    """Put the figures of all windows together, with lots as beets again."""
    pulled, under_water, to_cart, standing = by_day
    carted = np.maximum(-np.diff(to_cart, prepend=path.all), 0) * path.unit
    waiting = np.maximum(to_cart - standing, 0) * path.unit
    columns = _rising(pulled), _rising(under_water), carted, waiting
    rows = tuple(
        HarvestDay(day, *row)
        for day, row in zip(path.days, np.transpose(columns).tolist(), strict=True)
    )
    return HarvestForecast(rows[-1].pulled, rows[-1].under_water, rows)


def differences(
    before: HarvestForecast, changes: Mapping[str, Harvest]
) -> dict[str, Difference]:
    """Say what each of some changes does to the chances.

    Parameters
    ----------
    before : HarvestForecast
        The harvest as it stands.
    changes : mapping of str to Harvest
        The harvest with each change, by a name of the caller's.

    Returns
    -------
    dict of str to Difference
        By the same names, the one that helps most first.
    """
    by_name = {}
    for name, changed in changes.items():
        after = harvest_forecast(changed)
        by_name[name] = Difference(
            after.pulled - before.pulled, after.under_water - before.under_water, after
        )
    order = sorted(by_name, key=lambda name: -by_name[name].under_water)
    return {name: by_name[name] for name in order}


def bottleneck(harvest: Harvest, forecast: HarvestForecast) -> Limit | None:
    """Say what holds a harvest back the most.

    Parameters
    ----------
    harvest : Harvest
        The harvest.
    forecast : HarvestForecast
        Its forecast.

    Returns
    -------
    Limit or None
        Of what is lost after the pulling, carts or room: whichever alone loses more.
        Of what is lost before, the one of these that gains most: light to the end of
        the posted times, every evening dry, twice the hands, a window that lasts a
        week longer. ``None`` if nothing is lost or none of them gains.
    """
    in_field = 1 - forecast.pulled
    after = forecast.pulled - forecast.under_water
    if max(in_field, after) < _LEAST_GAIN:
        return None
    if after >= in_field:
        by_carts = harvest_forecast(replace(harvest, rooms=None)).under_water
        by_room = harvest_forecast(replace(harvest, carts=None)).under_water
        return Limit.CARTS if by_carts <= by_room else Limit.ROOM
    gains = {
        limit: harvest_forecast(eased).pulled - forecast.pulled
        for limit, eased in _eased(harvest).items()
    }
    most = max(gains, key=lambda limit: gains[limit])
    return most if gains[most] >= _LEAST_GAIN else None


def _eased(harvest: Harvest) -> dict[Limit, Harvest]:
    """Return the harvest with each limit of the field eased alone."""
    plenty = replace(harvest, carts=None, rooms=None)
    evenings = harvest.evenings
    longer = tuple(replace(one, last=one.last + LONGER_FIT) for one in harvest.windows)
    return {
        Limit.LIGHT: replace(plenty, evenings=tuple(map(_lit, evenings))),
        Limit.WEATHER: replace(
            plenty, evenings=tuple(replace(one, dry_chance=1.0) for one in evenings)
        ),
        Limit.HANDS: replace(plenty, evenings=tuple(map(_doubled, evenings))),
        Limit.WINDOW: replace(plenty, windows=longer),
    }


def _lit(evening: Evening) -> Evening:
    if_lit = evening.if_lit if isinstance(evening, PullingEvening) else None
    return evening if if_lit is None else replace(evening, capacity=if_lit)


def _doubled(evening: Evening) -> Evening:
    doubled = tuple((MORE_HANDS * beets, odds) for beets, odds in evening.outcomes())
    return replace(evening, capacity=doubled)


def _rising(chances: Chances) -> Chances:
    """Return chances that rounding makes neither fall nor pass one."""
    rising: Chances = np.minimum(1.0, np.maximum.accumulate(chances))
    return rising
