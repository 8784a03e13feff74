"""What stands behind a figure that a person sees: inputs, rule, sources, certainty."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any


class Figure(StrEnum):
    """A figure that is worked out and shown."""

    LIGHT = "light"
    CALL = "call"
    STAND = "stand"
    PACE = "pace"
    FINISH = "finish"
    HARVEST = "harvest"
    PULL = "pull"
    SEED = "seed"
    CAPACITY = "capacity"
    STONES = "stones"
    RET = "ret"
    ROTA = "rota"
    FILLING = "filling"
    SUPPLY = "supply"
    WET_LIFT = "wet_lift"
    LIFT = "lift"
    PAY = "pay"
    SHARES = "shares"
    ASSIGN = "assign"
    GRASS_AREA = "grass_area"
    GRASS_DAYS = "grass_days"
    DEW = "dew"
    DRY = "dry"
    WORKED = "worked"
    ACCOUNT = "account"
    YARN = "yarn"
    SITE = "site"
    SCORES = "scores"


class Unit(StrEnum):
    """What a figure's input is counted in; a day, a time or a word is as it is."""

    AS_IT_IS = ""
    BEETS = "beets"
    BEETS_PER_HOUR = "beets_per_hour"
    COUNT = "count"
    CUBIC_M = "m3"
    C = "c"
    DEGREES = "degrees"
    HOURS = "hours"
    KG = "kg"
    LPS = "lps"
    MINUTES = "minutes"
    MM = "mm"
    MM_PER_H = "mm_per_h"
    MS = "ms"
    PERCENT = "percent"
    SECONDS = "seconds"
    SQUARE_M = "m2"
    TEX = "tex"


class Sure(StrEnum):
    """How sure a figure is, from the surest down."""

    EXACT = "exact"
    CHECKED = "checked"
    COUNTED = "counted"
    PRINTED = "printed"
    JUDGED = "judged"
    REMEMBERED = "remembered"


class Source(StrEnum):
    """Where a rule is from; each stands in a docstring beside its calculation."""

    ALMANAC = "almanac"
    AGRICULTURIST = "agriculturist"
    ARVALIS = "arvalis"
    BIRGE = "birge"
    CHESSON = "chesson"
    CUSTOM = "custom"
    DODGE = "dodge"
    FLAX_SOCIETY = "flax_society"
    GABRIEL = "gabriel"
    GNIS = "gnis"
    GREEN_GUIDE = "green_guide"
    HANSARD = "hansard"
    HEAT_INDEX = "heat_index"
    HODGES = "hodges"
    HOLDING = "holding"
    HSE_FILTER = "hse_filter"
    HSE_TEAMS = "hse_teams"
    ISO_OVEN = "iso_oven"
    JOHNSON = "johnson"
    KUHN = "kuhn"
    LARGEST_REMAINDERS = "largest_remainders"
    MATHESON = "matheson"
    NIOSH = "niosh"
    NORTHERN_IRELAND_FIRE = "northern_ireland_fire"
    OWN = "own"
    PADRON = "padron"
    PONDAGE = "pondage"
    PRISMOID = "prismoid"
    RAIN_CLASSES = "rain_classes"
    RATIO = "ratio"
    RIBE = "ribe"
    SCHOOLS = "schools"
    SOLVER = "solver"
    SPON = "spon"
    THUNDER = "thunder"
    VIRGINIA = "virginia"
    WIND_CHILL = "wind_chill"


@dataclass(frozen=True, slots=True)
class Rule:
    """How one figure is made.

    Attributes
    ----------
    made_by : tuple of callable
        The functions of this package that make it.
    takes : mapping of str to Unit
        What may be said of its inputs, each with its unit.
    sources : tuple of Source
        Where the rule is from.
    sure : Sure
        How sure it is, until the site's own records say more.
    """

    made_by: tuple[Callable[..., Any], ...]
    takes: Mapping[str, Unit]
    sources: tuple[Source, ...]
    sure: Sure


@dataclass(frozen=True, slots=True)
class Input:
    """One thing that a figure was made from.

    Attributes
    ----------
    name : str
        Which it is, of those that its rule takes.
    value : number, Band, date, datetime or str
        What it was. [unit]
    unit : Unit
        What it is counted in.
    """

    name: str
    value: Any
    unit: Unit


@dataclass(frozen=True, slots=True)
class Opening:
    """One figure opened.

    Attributes
    ----------
    figure : Figure
        Which it is; its rule is said by this code.
    inputs : tuple of Input
        What it was made from, as far as it is known.
    sources : tuple of Source
        Where its rule is from.
    sure : Sure
        How sure it is.
    """

    figure: Figure
    inputs: tuple[Input, ...]
    sources: tuple[Source, ...]
    sure: Sure
