"""How old somebody must be for a station, by whose rules apply.

Two kinds of rule are kept apart. A published rule is a regulator's, and its source
is named. Where none is known, or where the work needs more, the rule is our own and
says so. The stricter of the two answers; on a tie the published one speaks.

Machines from 16, driving, water and stones from 18, wherever you are: the published
ages differ by place, and these are our own stricter ones.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final, Literal, get_args

Jurisdiction = Literal["gb", "ni", "ie", "elsewhere"]
Work = Literal[
    "pull",
    "tie",
    "lay_bands",
    "drive",
    "ride",
    "feed",
    "lift_off",
    "fork",
    "stone",
    "tread",
    "steward",
    "talk",
    "other",
]
Status = Literal["published", "own_rule"]
WORKS: Final[tuple[str, ...]] = get_args(Work)
JURISDICTIONS: Final[tuple[str, ...]] = get_args(Jurisdiction)
ADULT: Final = 18


class Rule(StrEnum):
    """A rule on young people, published or our own."""

    GB_MACHINE = "gb_machine"
    GB_RIDE = "gb_ride"
    GB_TRACTOR = "gb_tractor"
    GB_ASSESSMENT = "gb_assessment"
    NI_MACHINE = "ni_machine"
    NI_MAINTENANCE = "ni_maintenance"
    IE_DRIVE = "ie_drive"
    IE_RIDE = "ie_ride"
    OWN_DRIVE = "own_drive"
    OWN_MACHINE = "own_machine"
    OWN_WATER = "own_water"
    OWN_STONES = "own_stones"
    OWN_STEWARD = "own_steward"
    OWN_FORK = "own_fork"
    OWN_BESIDE = "own_beside"
    OWN_OTHER = "own_other"


@dataclass(frozen=True, slots=True)
class AgeRule:
    """How old somebody must be for some work, and by which rule.

    Attributes
    ----------
    code : Rule
        Which rule it is.
    least_age : int
        The youngest age that may do it; 0 when there is no least age. [year]
    status : {"published", "own_rule"}
        A regulator's rule, or this project's own.
    review_below : int
        Under this age the organiser first weighs whether this person may do it;
        0 when there is nothing to weigh. [year]
    is_elsewheres : bool
        Whether it is only the strictest that is known, and the place's own rules are
        still to be looked up.
    """

    code: Rule
    least_age: int
    status: Status
    review_below: int = 0
    is_elsewheres: bool = False


# A flax puller is taken for a harvesting machine: our own reading.
_GB_MACHINE: Final = AgeRule(Rule.GB_MACHINE, 16, "published", review_below=ADULT)
_GB_RIDE: Final = AgeRule(Rule.GB_RIDE, 13, "published")
_NI_MACHINE: Final = AgeRule(Rule.NI_MACHINE, 13, "published")
_IE_DRIVE: Final = AgeRule(Rule.IE_DRIVE, 14, "published")
_IE_RIDE: Final = AgeRule(Rule.IE_RIDE, 7, "published")

_PUBLISHED: Final[Mapping[tuple[str, str], AgeRule]] = {
    ("gb", "drive"): _GB_MACHINE,
    ("gb", "feed"): _GB_MACHINE,
    ("gb", "lift_off"): _GB_MACHINE,
    ("gb", "ride"): _GB_RIDE,
    ("ni", "drive"): _NI_MACHINE,
    ("ni", "ride"): _NI_MACHINE,
    ("ie", "drive"): _IE_DRIVE,
    ("ie", "ride"): _IE_RIDE,
}

# Published rules on no station of ours; where ours are stricter, ours are kept.
_FURTHER: Final[Mapping[str, tuple[AgeRule, ...]]] = {
    "gb": (
        AgeRule(Rule.GB_TRACTOR, 13, "published"),
        AgeRule(Rule.GB_ASSESSMENT, 0, "published", review_below=ADULT),
    ),
    "ni": (AgeRule(Rule.NI_MAINTENANCE, 0, "published"),),
}

_DRIVE: Final = AgeRule(Rule.OWN_DRIVE, ADULT, "own_rule")
_MACHINE: Final = AgeRule(Rule.OWN_MACHINE, 16, "own_rule", review_below=ADULT)
_WATER: Final = AgeRule(Rule.OWN_WATER, ADULT, "own_rule")
_STONES: Final = AgeRule(Rule.OWN_STONES, ADULT, "own_rule")
_STEWARD: Final = AgeRule(Rule.OWN_STEWARD, ADULT, "own_rule")
_FORK: Final = AgeRule(Rule.OWN_FORK, 16, "own_rule")
_BESIDE: Final = AgeRule(Rule.OWN_BESIDE, 0, "own_rule")
_OTHER: Final = AgeRule(Rule.OWN_OTHER, 0, "own_rule")

_OWN: Final[Mapping[str, AgeRule]] = {
    "pull": _BESIDE,
    "tie": _BESIDE,
    "lay_bands": _BESIDE,
    "talk": _BESIDE,
    "drive": _DRIVE,
    "ride": _MACHINE,
    "feed": _MACHINE,
    "lift_off": _MACHINE,
    "fork": _FORK,
    "stone": _STONES,
    "tread": _WATER,
    "steward": _STEWARD,
    "other": _OTHER,
}


def published_rule(jurisdiction: str, work: str) -> AgeRule | None:
    """Return the regulator's own rule on some work, where one is known.

    Parameters
    ----------
    jurisdiction : {"gb", "ni", "ie", "elsewhere"}
        Whose rules apply. None is known for ``"elsewhere"``.
    work : str
        A station's kind, or ``"ride"``.

    Returns
    -------
    AgeRule or None
        The published rule, or None where none is known.

    Raises
    ------
    ValueError
        If the jurisdiction or the work is not one of those named.

    References
    ----------
    .. [1] Prevention of Accidents to Children in Agriculture Regulations 1998,
       SI 1998/3262 (Great Britain), and HSE's pages on children on farms.
    .. [2] Management of Health and Safety at Work Regulations 1999, reg. 19.
    .. [3] Northern Ireland Statutory Rule 2006/335, regs 3 to 7.
    .. [4] Health and Safety Authority, Republic of Ireland: children on farms.
    """
    _require_known(jurisdiction, work)
    return _PUBLISHED.get((jurisdiction, work))


def least_age(jurisdiction: str, work: str) -> AgeRule:
    """Return how old somebody must be for some work, and who says so.

    Elsewhere than in the three places whose rules are known, the strictest of the
    three answers, marked as such: the place's own rules must be looked up.

    Parameters
    ----------
    jurisdiction : {"gb", "ni", "ie", "elsewhere"}
        Whose rules apply.
    work : str
        A station's kind: ``"pull"``, ``"tie"``, ``"lay_bands"``, ``"drive"``,
        ``"feed"``, ``"lift_off"``, ``"fork"``, ``"stone"``, ``"tread"``,
        ``"steward"``, ``"talk"`` or ``"other"``; or ``"ride"``.

    Returns
    -------
    AgeRule
        The stricter of the published rule and our own.

    Raises
    ------
    ValueError
        If the jurisdiction or the work is not one of those named.

    References
    ----------
    .. [1] The sources of `published_rule`. Keeping driving, water, stones and
       stewarding to adults, and all machines to those of 16 and over, are our own
       rules.
    """
    _require_known(jurisdiction, work)
    if jurisdiction != "elsewhere":
        return _stricter(_PUBLISHED.get((jurisdiction, work)), _OWN[work])
    known = [least_age(place, work) for place in ("gb", "ni", "ie")]
    strictest = max(known, key=lambda rule: rule.least_age)
    return replace(strictest, status="own_rule", is_elsewheres=True)


def rules(jurisdiction: str) -> tuple[AgeRule, ...]:
    """Return every rule applied in a place that keeps somebody out, each once.

    Parameters
    ----------
    jurisdiction : {"gb", "ni", "ie", "elsewhere"}
        Whose rules apply.

    Returns
    -------
    tuple of AgeRule
        Those with a least age, in the order of the work.

    Raises
    ------
    ValueError
        If the jurisdiction is not one of those named.
    """
    applied = dict.fromkeys(least_age(jurisdiction, work) for work in WORKS)
    return tuple(rule for rule in applied if rule.least_age)


def published_rules(jurisdiction: str) -> tuple[AgeRule, ...]:
    """Return the regulators' own rules known for a place, each once.

    Those on stations come first, then those on no station of ours.

    Parameters
    ----------
    jurisdiction : {"gb", "ni", "ie", "elsewhere"}
        Whose rules apply. None is known for ``"elsewhere"``.

    Returns
    -------
    tuple of AgeRule
        The published rules, in the order of the work.

    Raises
    ------
    ValueError
        If the jurisdiction is not one of those named.
    """
    known = dict.fromkeys(published_rule(jurisdiction, work) for work in WORKS)
    return (*(rule for rule in known if rule), *_FURTHER.get(jurisdiction, ()))


def _stricter(published: AgeRule | None, own: AgeRule) -> AgeRule:
    if published and published.least_age >= own.least_age:
        return published
    return own


def _require_known(jurisdiction: str, work: str) -> None:
    if jurisdiction not in JURISDICTIONS:
        known = ", ".join(JURISDICTIONS)
        raise ValueError(f"jurisdiction must be one of {known}, not {jurisdiction!r}")
    if work not in WORKS:
        raise ValueError(f"work must be one of {', '.join(WORKS)}, not {work!r}")
