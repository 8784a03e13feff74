"""Water for a dam: what it loses, what comes in, and how long it takes to fill."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, hypot, sqrt
from statistics import mean, stdev
from typing import Final

from heritage.calc._band import Band
from heritage.calc._checks import not_negative, positive

__all__ = [
    "EVAPORATION_MM",
    "LEVEL_MM",
    "SHORTEST_HOURS",
    "SHORTEST_SECONDS",
    "Leak",
    "bucket_flow",
    "filling_hours",
    "leak",
]

DAY_H: Final = 24.0
LITRES_PER_M3: Final = 1000.0
SECONDS_PER_HOUR: Final = 3600.0

# What the air takes from still water in a day of the growing season: our own judgement.
# FAO-56's example of a July day near Brussels gives 3.9 for grass. [mm/day]
EVAPORATION_MM: Final = Band(1.0, 3.0, 6.0)
# How nearly a level is read with a rule on a quiet day, each time: our judgement. [mm]
LEVEL_MM: Final = 2.0
# A shorter test tells little: a day's evaporation is no more than the reading's error.
SHORTEST_HOURS: Final = 12.0

# A bucket that fills faster is timed badly (connectedwater.gov.au, volumetric method:
# at least three seconds, and several readings). [s]
SHORTEST_SECONDS: Final = 3.0
# How nearly a thumb stops a watch, and a bucket's mark is kept: our own judgement.
THUMB_S: Final = 0.3
BUCKET: Final = 0.05
NINE_IN_TEN: Final = 1.2816


@dataclass(frozen=True, slots=True)
class Leak:
    """What a dam loses in a day.

    Attributes
    ----------
    fall_mm : Band
        How far the level falls in a day, with the rain put back; below nought if it
        rises. [mm/day]
    leak_mm : Band
        What of it the ground takes, with the evaporation taken off; the low end is
        nought where evaporation alone can explain it. [mm/day]
    litres : Band
        The same over the water's surface. [L/day]
    """

    fall_mm: Band
    leak_mm: Band
    litres: Band


def leak(
    *,
    first_m: float,
    second_m: float,
    hours: float,
    surface_m2: float,
    rain_mm: float = 0.0,
    evaporation_mm: Band = EVAPORATION_MM,
) -> Leak:
    """Return what a dam loses, from its level read twice.

    Parameters
    ----------
    first_m, second_m : float
        Depth of the water, first and then, not negative. [m]
    hours : float
        Time between, above zero. [h]
    surface_m2 : float
        Area of the water's surface between the two, above zero. [m²]
    rain_mm : float
        Rain between, not negative. [mm]
    evaporation_mm : Band
        What the air takes in a day. [mm/day]

    Returns
    -------
    Leak
        Fall, leak and litres, each with its range.

    References
    ----------
    .. [1] The pondage test's balance: seepage is the fall, with what rained added and
       what evaporated taken off (Irrigation Australia, channel seepage management).
       The evaporation and how nearly a level is read are our own judgement.
    """
    days = positive(hours, "hours") / DAY_H
    drop = (not_negative(first_m, "first_m") - not_negative(second_m, "second_m")) * 1e3
    fall = (drop + not_negative(rain_mm, "rain_mm")) / days
    read = NINE_IN_TEN * sqrt(2) * LEVEL_MM / days
    down = hypot(read, evaporation_mm.high - evaporation_mm.likely)
    up = hypot(read, evaporation_mm.likely - evaporation_mm.low)
    taken = fall - evaporation_mm.likely
    leaks = Band(*(max(0.0, one) for one in (taken - down, taken, taken + up)))
    return Leak(
        fall_mm=Band(fall - read, fall, fall + read),
        leak_mm=leaks,
        # A millimetre over a square metre is a litre.
        litres=leaks.scaled(positive(surface_m2, "surface_m2")),
    )


def bucket_flow(litres: float, seconds: Sequence[float]) -> Band:
    """Return the flow that fills a bucket, timed once or more.

    Parameters
    ----------
    litres : float
        What the bucket holds up to its mark, above zero. [L]
    seconds : sequence of float
        Each time it took, above zero; one at least. [s]

    Returns
    -------
    Band
        The flow, and where it lies about eight times in ten. [L/s]

    Raises
    ------
    ValueError
        If nothing was timed, or a figure is not above zero.

    References
    ----------
    .. [1] Volume over time (connectedwater.gov.au, volumetric streamflow). The range
       joins the bucket's mark, the thumb and how the tries differ; the first two are
       our own judgement.
    """
    if not seconds:
        raise ValueError("seconds must have one time at least")
    times = [positive(one, "seconds") for one in seconds]
    middle, tries = mean(times), len(times)
    differ = stdev(times) if tries > 1 else 0.0
    in_time = max(THUMB_S, differ) / sqrt(tries) / middle
    reach = NINE_IN_TEN * sqrt(BUCKET**2 + in_time**2)
    flow = positive(litres, "litres") / middle
    return Band(flow * exp(-reach), flow, flow * exp(reach))


def filling_hours(
    volume_m3: float, flow_lps: Band, leak_l_a_day: Band | None = None
) -> Band | None:
    """Return how long a supply takes to fill a dam that loses some of it.

    Parameters
    ----------
    volume_m3 : float
        Water wanted, not negative. [m³]
    flow_lps : Band
        What comes in, above zero. [L/s]
    leak_l_a_day : Band, optional
        What is lost meanwhile; nothing if not given. [L/day]

    Returns
    -------
    Band or None
        The time; ``None`` if the leak may take all that comes. [h]

    References
    ----------
    .. [1] Volume over what flow and leak leave, their errors joined at right angles.
       The loss of a full dam is taken from the start, which is too much while it is
       low.
    """
    positive(flow_lps.low, "flow_lps")
    comes = flow_lps.scaled(SECONDS_PER_HOUR)
    goes = (leak_l_a_day or Band(0.0, 0.0, 0.0)).scaled(1 / DAY_H)
    net = comes.likely - goes.likely
    less = hypot(comes.likely - comes.low, goes.high - goes.likely)
    more = hypot(comes.high - comes.likely, goes.likely - goes.low)
    if net <= less:
        return None
    litres = not_negative(volume_m3, "volume_m3") * LITRES_PER_M3
    return Band(net - less, net, net + more).inverse().scaled(litres)
