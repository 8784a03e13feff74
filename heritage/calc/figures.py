"""Every figure that a person sees, with the rule, the sources and the certainty.

What is said here of a source is said again, longer, in the docstring of the function
that makes the figure; `tests/calc/test_figures.py` reads both.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any, Final

from . import (
    assignment,
    crop,
    dam,
    daylight,
    fibre,
    filling,
    harvest,
    lifting,
    pulling,
    retting,
    risk,
    rota,
    scores,
    stand,
    supply,
    tally,
    weather,
)
from ._opening import Figure, Input, Opening, Rule, Source, Sure, Unit

__all__ = [
    "RULES",
    "Figure",
    "Input",
    "Opening",
    "Rule",
    "Source",
    "Sure",
    "Unit",
    "opened",
]

_RULES: Final[dict[Figure, Rule]] = {
    Figure.LIGHT: Rule(
        (daylight.working_window, daylight.sun_times),
        {
            "day": Unit.AS_IT_IS,
            "latitude": Unit.DEGREES,
            "longitude": Unit.DEGREES,
            "skyline": Unit.DEGREES,
            "margin": Unit.MINUTES,
        },
        (Source.ALMANAC,),
        Sure.CHECKED,
    ),
    Figure.CALL: Rule(
        (weather.call,),
        {
            "rain_mm_per_h": Unit.MM_PER_H,
            "wind_ms": Unit.MS,
            "temp_c": Unit.C,
            "relative_humidity": Unit.PERCENT,
            "minutes_since_thunder": Unit.MINUTES,
            "flash_to_bang_s": Unit.SECONDS,
            "canopy_wet_mm": Unit.MM,
            "lodged_percent": Unit.PERCENT,
            "light_hours": Unit.HOURS,
        },
        (Source.RAIN_CLASSES, Source.WIND_CHILL, Source.HEAT_INDEX, Source.THUNDER),
        Sure.JUDGED,
    ),
    Figure.STAND: Rule(
        (stand.expected_stand, stand.measured_stand),
        {"area": Unit.SQUARE_M, "beets": Unit.COUNT},
        (Source.HANSARD, Source.HODGES, Source.RATIO),
        Sure.JUDGED,
    ),
    Figure.PACE: Rule(
        (pulling.person_rate,),
        {"people": Unit.COUNT},
        (Source.SCHOOLS,),
        Sure.PRINTED,
    ),
    Figure.FINISH: Rule(
        (pulling.finish_forecast,),
        {"pace": Unit.BEETS_PER_HOUR, "people": Unit.COUNT},
        (Source.GABRIEL, Source.SCHOOLS),
        Sure.JUDGED,
    ),
    Figure.HARVEST: Rule(
        (harvest.harvest_forecast,),
        {"left": Unit.BEETS, "pace": Unit.BEETS_PER_HOUR, "evenings": Unit.COUNT},
        (Source.GABRIEL, Source.SPON),
        Sure.JUDGED,
    ),
    Figure.PULL: Rule(
        (crop.when_to_pull, crop.pull_window_by_heat),
        {"sown_on": Unit.AS_IT_IS, "seen_on": Unit.AS_IT_IS, "signs": Unit.COUNT},
        (Source.ARVALIS, Source.SCHOOLS, Source.BIRGE),
        Sure.JUDGED,
    ),
    Figure.SEED: Rule(
        (crop.usual_rate, crop.usual_seeds),
        {"area": Unit.SQUARE_M},
        (Source.GNIS,),
        Sure.PRINTED,
    ),
    Figure.CAPACITY: Rule(
        (dam.capacity,),
        {"volume": Unit.CUBIC_M, "beet_kg": Unit.KG},
        (Source.PRISMOID, Source.CHESSON, Source.SPON),
        Sure.JUDGED,
    ),
    Figure.STONES: Rule(
        (dam.ballast, dam.ballast_by_curve),
        {"beets": Unit.COUNT, "stone_kg": Unit.KG},
        (Source.AGRICULTURIST,),
        Sure.JUDGED,
    ),
    Figure.RET: Rule(
        (retting.forecast, retting.ready, retting.next_test, retting.may_lift),
        {
            "began_at": Unit.AS_IT_IS,
            "day_in": Unit.COUNT,
            "water_c": Unit.C,
        },
        (Source.FLAX_SOCIETY, Source.CHESSON, Source.PADRON),
        Sure.JUDGED,
    ),
    Figure.ROTA: Rule(
        (rota.plan, rota.watchers),
        {"turns": Unit.COUNT},
        (Source.SOLVER, Source.CUSTOM),
        Sure.CHECKED,
    ),
    Figure.FILLING: Rule(
        (filling.all_under, filling.stop_carting),
        {"beets": Unit.COUNT, "loads": Unit.COUNT},
        (Source.JOHNSON,),
        Sure.JUDGED,
    ),
    Figure.SUPPLY: Rule(
        (supply.leak, supply.bucket_flow, supply.filling_hours),
        {"volume": Unit.CUBIC_M, "flow": Unit.LPS},
        (Source.PONDAGE,),
        Sure.JUDGED,
    ),
    Figure.WET_LIFT: Rule(
        (fibre.wet_beet, fibre.hands_to_lift, lifting.team_capacity),
        {"beets": Unit.COUNT},
        (Source.HSE_FILTER, Source.HSE_TEAMS, Source.FLAX_SOCIETY),
        Sure.JUDGED,
    ),
    Figure.LIFT: Rule(
        (
            lifting.screening_weight,
            lifting.team_capacity,
            lifting.recommended_weight,
        ),
        {"weight": Unit.KG, "people": Unit.COUNT},
        (Source.HSE_FILTER, Source.HSE_TEAMS, Source.NIOSH),
        Sure.REMEMBERED,
    ),
    Figure.PAY: Rule(
        (tally.settle,),
        {
            "beets": Unit.COUNT,
            "beets_per_stook": Unit.BEETS,
            "part_stooks": Unit.AS_IT_IS,
        },
        (Source.SCHOOLS, Source.OWN),
        Sure.EXACT,
    ),
    Figure.SHARES: Rule(
        (tally.share,),
        {},
        (Source.LARGEST_REMAINDERS,),
        Sure.EXACT,
    ),
    Figure.ASSIGN: Rule(
        (assignment.assign,),
        {},
        (Source.KUHN, Source.OWN),
        Sure.CHECKED,
    ),
    Figure.GRASS_AREA: Rule(
        (fibre.grass_area,),
        {"beets": Unit.COUNT},
        (Source.OWN,),
        Sure.JUDGED,
    ),
    Figure.GRASS_DAYS: Rule(
        (fibre.grass_plan,),
        {"spread_at": Unit.AS_IT_IS},
        (Source.FLAX_SOCIETY,),
        Sure.REMEMBERED,
    ),
    Figure.DEW: Rule(
        (retting.dew_state,),
        {"spread_at": Unit.AS_IT_IS, "unknown_days": Unit.COUNT},
        (Source.VIRGINIA, Source.OWN),
        Sure.JUDGED,
    ),
    Figure.DRY: Rule(
        (fibre.dryness, fibre.stack_state, fibre.moisture_by_oven),
        {},
        (Source.NORTHERN_IRELAND_FIRE, Source.ISO_OVEN),
        Sure.JUDGED,
    ),
    Figure.WORKED: Rule(
        (fibre.worked, fibre.expected_out, fibre.hours_of),
        {},
        (Source.RIBE,),
        Sure.JUDGED,
    ),
    Figure.ACCOUNT: Rule(
        (fibre.account,),
        {"beets": Unit.COUNT, "beet_kg": Unit.KG},
        (Source.HODGES, Source.DODGE),
        Sure.JUDGED,
    ),
    Figure.YARN: Rule(
        (fibre.yarn_of, fibre.cloth_of, fibre.spinning_hours),
        {"tex": Unit.TEX},
        (Source.OWN,),
        Sure.JUDGED,
    ),
    Figure.SITE: Rule(
        (risk.site_capacity, risk.holding_capacity),
        {"area": Unit.SQUARE_M, "minutes": Unit.MINUTES},
        (Source.GREEN_GUIDE, Source.HOLDING),
        Sure.PRINTED,
    ),
    Figure.SCORES: Rule(
        (scores.fared,),
        {},
        (Source.MATHESON, Source.OWN),
        Sure.CHECKED,
    ),
}
RULES: Final[Mapping[Figure, Rule]] = MappingProxyType(_RULES)


def opened(
    figure: Figure | str, inputs: Mapping[str, Any], *, counted: bool = False
) -> Opening:
    """Open a figure: what it was made from, by which rule, and how sure it is.

    Parameters
    ----------
    figure : Figure or str
        Which figure, by its code.
    inputs : mapping of str to number, Band, date, datetime or str
        What it was made from, by name; what is ``None`` or empty is not known.
        [the unit that the rule gives it]
    counted : bool
        Whether the site's own records have taken the place of what was judged.

    Returns
    -------
    Opening
        The figure opened, its inputs in the order of its rule.

    Raises
    ------
    ValueError
        If there is no such figure, or its rule takes no such input.
    """
    rule = RULES[Figure(figure)]
    if strange := sorted(set(inputs) - set(rule.takes)):
        raise ValueError(f"{figure} takes no {', '.join(strange)}")
    return Opening(
        Figure(figure),
        tuple(
            Input(name, inputs[name], unit)
            for name, unit in rule.takes.items()
            if inputs.get(name) not in (None, "")
        ),
        rule.sources,
        Sure.COUNTED if counted else rule.sure,
    )
