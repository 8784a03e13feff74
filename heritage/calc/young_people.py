"""How old somebody must be for a station, by whose rules apply.

Two kinds of rule are kept apart. A published rule is a regulator's, and its source
is named. Where none is known, or where the work needs more, the rule is our own and
says so. The stricter of the two answers; on a tie the published one speaks.

Machines from 16, water and stones from 18, wherever you are: the published ages differ
by place, and these are our own stricter ones.
"""

from collections.abc import Mapping
from dataclasses import dataclass
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
CHECK: Final = "Check the rules where you are: they may be stricter."


@dataclass(frozen=True, slots=True)
class AgeRule:
    """How old somebody must be for some work, and who says so.

    Attributes
    ----------
    least_age : int
        The youngest age that may do it; 0 when there is no least age. [year]
    reason : str
        The rule in one or two plain sentences, fit for a screen or a sheet.
    source : str
        Whose rule it is.
    status : {"published", "own_rule"}
        A regulator's rule, or this project's own.
    review_below : int
        Under this age the organiser first weighs whether this person may do it;
        0 when there is nothing to weigh. [year]
    """

    least_age: int
    reason: str
    source: str
    status: Status
    review_below: int = 0


_GB_MACHINE: Final = AgeRule(
    16,
    "Nobody under 16 drives, works or helps to work a harvesting machine. At 16 and "
    "17 the organiser first weighs how new they are to it.",
    "HSE, agriculture: children; MHSWR 1999 reg. 19. That a flax puller is such a "
    "machine is our own reading.",
    "published",
    review_below=ADULT,
)
_GB_RIDE: Final = AgeRule(
    13,
    "Nobody under 13 rides on or drives a farm machine, in a cab or out of it.",
    "SI 1998/3262, Prevention of Accidents to Children in Agriculture",
    "published",
)
_NI_RIDE: Final = AgeRule(
    13,
    "Nobody under 13 works or rides on a farm machine; from 13 a certificate and "
    "somebody watching over them are needed.",
    "Northern Ireland SR 2006/335 regs 3 to 7",
    "published",
)
_IE_DRIVE: Final = AgeRule(
    14, "Nobody under 14 works a farm machine.", "HSA, Republic of Ireland", "published"
)
_IE_RIDE: Final = AgeRule(
    7,
    "Nobody under 7 rides in a tractor's cab; from 7 to 16 only on a fitted seat "
    "with its belt.",
    "HSA, Republic of Ireland",
    "published",
)

_PUBLISHED: Final[Mapping[tuple[str, str], AgeRule]] = {
    ("gb", "drive"): _GB_MACHINE,
    ("gb", "feed"): _GB_MACHINE,
    ("gb", "lift_off"): _GB_MACHINE,
    ("gb", "ride"): _GB_RIDE,
    ("ni", "drive"): _NI_RIDE,
    ("ni", "ride"): _NI_RIDE,
    ("ie", "drive"): _IE_DRIVE,
    ("ie", "ride"): _IE_RIDE,
}

# Published rules on no station of ours; where ours are stricter, ours are kept.
_FURTHER: Final[Mapping[str, tuple[AgeRule, ...]]] = {
    "gb": (
        AgeRule(
            13,
            "From 13 to 15 only a low-powered tractor, alone or with a trailed roller "
            "or harrow: trained, watched over, and with nobody near.",
            "NFU on HSE's guidance",
            "published",
        ),
        AgeRule(
            0,
            "Of whoever is under 18 the assessment weighs how new they are, what they "
            "can bear, and risks they cannot see. Below school-leaving age no such "
            "risk is left; from then on only for training, watched over, as low as "
            "can be. Parents are told what was found.",
            "MHSWR 1999 reg. 19",
            "published",
            review_below=ADULT,
        ),
    ),
    "ni": (
        AgeRule(
            0,
            "Nobody below school-leaving age maintains a machine.",
            "Northern Ireland SR 2006/335 regs 3 to 7",
            "published",
        ),
    ),
}


def _ours(age: int, reason: str, review_below: int = 0) -> AgeRule:
    return AgeRule(age, reason, "our own rule", "own_rule", review_below)


_MACHINE: Final = _ours(
    16,
    "Nobody under 16 rides on, drives or works at the tractor or the machines here. "
    "At 16 and 17 the organiser first weighs how new they are to it.",
    review_below=ADULT,
)
_WATER: Final = _ours(ADULT, "Only adults go into or work at the edge of the water.")
_STONES: Final = _ours(ADULT, "Only adults lift and place the stones.")
_STEWARD: Final = AgeRule(
    ADULT,
    "Only adults steward.",
    "our own rule; council event guidance asks the same (South Tyneside)",
    "own_rule",
)
_FORK: Final = _ours(
    16, "Nobody under 16 forks beets: forks are sharp and the cart moves."
)
_BESIDE: Final = _ours(
    0, "Any age may do this. A child works beside the adult who answers for them."
)
_OTHER: Final = _ours(0, "The organiser sets the age for other work.")

_OWN: Final[Mapping[str, AgeRule]] = {
    "pull": _BESIDE,
    "tie": _BESIDE,
    "lay_bands": _BESIDE,
    "talk": _BESIDE,
    "drive": _MACHINE,
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
    three answers, with a note that the place's own rules must be looked up.

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
    .. [1] The sources of `published_rule`. Keeping water, stones and stewarding to
       adults, and all machines to those of 16 and over, are our own rules.
    """
    _require_known(jurisdiction, work)
    if jurisdiction != "elsewhere":
        return _stricter(_PUBLISHED.get((jurisdiction, work)), _OWN[work])
    known = [least_age(place, work) for place in ("gb", "ni", "ie")]
    strictest = max(known, key=lambda rule: rule.least_age)
    return AgeRule(
        strictest.least_age,
        f"{strictest.reason} {CHECK}",
        f"the strictest we know: {strictest.source}",
        "own_rule",
        strictest.review_below,
    )


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
