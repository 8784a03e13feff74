"""Whether an accident should be looked at as one to be reported."""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from .young_people import Jurisdiction


class Hurt(StrEnum):
    """Who was hurt."""

    VOLUNTEER = "volunteer"
    VISITOR = "visitor"
    EMPLOYEE = "employee"


class Reporting(StrEnum):
    """What the prompt says. It never promises that nothing need be reported."""

    LIKELY = "likely"
    NOTHING_FOUND = "nothing found"
    ASK = "ask"


@dataclass(frozen=True, slots=True)
class Case:
    """What is known of an accident; ``None`` where it is not known.

    Attributes
    ----------
    jurisdiction : {"gb", "ni", "ie", "elsewhere"}
        Whose law holds where it happened.
    hurt : Hurt
        Who was hurt.
    work_related : bool or None
        Whether the work, its machines or its place had a part in it.
    employer : bool or None
        Whether an organisation with employees, or somebody in business, ran the work
        or the place.
    on_public_road : bool or None
        Whether it happened on a public road.
    fatal : bool or None
        Whether somebody died.
    treated_in_hospital : bool or None
        Whether they were taken straight from the scene to hospital and treated
        there; a check or a precaution is no treatment.
    """

    jurisdiction: Jurisdiction
    hurt: Hurt
    work_related: bool | None = None
    employer: bool | None = None
    on_public_road: bool | None = None
    fatal: bool | None = None
    treated_in_hospital: bool | None = None


@dataclass(frozen=True, slots=True)
class Prompt:
    """What to do about a report, with the reasons.

    Attributes
    ----------
    answer : Reporting
        Likely to be reportable, nothing found that makes it so, or ask.
    reasons : tuple of str
        Why, in plain sentences. Decide with the official pages, and keep a record
        either way.
    """

    answer: Reporting
    reasons: tuple[str, ...]


def reporting_prompt(case: Case) -> Prompt:
    """Say whether an accident looks like one to be reported, and why.

    Parameters
    ----------
    case : Case
        What is known of it.

    Returns
    -------
    Prompt
        An answer with its reasons. Guidance only: it reports nothing by itself.

    References
    ----------
    .. [1] RIDDOR 2013 and HSE's published cases of volunteers; Great Britain alone.
    """
    if elsewhere := _elsewhere(case):
        return Prompt(Reporting.ASK, (elsewhere,))
    against = tuple(_against(case))
    if against:
        return Prompt(Reporting.NOTHING_FOUND, against)
    unknown = tuple(_unknown(case))
    if unknown:
        return Prompt(Reporting.ASK, unknown)
    harm = (
        "somebody died"
        if case.fatal
        else "the injured person was taken straight to hospital and treated"
    )
    return Prompt(
        Reporting.LIKELY,
        (
            f"It had to do with work run by an employer or a business, and {harm}.",
            "Report it without delay by the official route.",
        ),
    )


def _elsewhere(case: Case) -> str | None:
    """Say why these rules are not the ones to go by, if they are not."""
    if case.jurisdiction != "gb":
        return "Other rules hold here. Ask the safety authority of the place."
    if case.hurt is Hurt.EMPLOYEE:
        return "For employees the rules reach further. Look at the official pages."
    return None


def _against(case: Case) -> Iterator[str]:
    """Yield what speaks against its being reportable."""
    if case.work_related is False:
        yield "Neither the work nor its place had a part in it."
    if case.employer is False:
        yield "Nobody with employees or in business ran the work or the place."
    if case.on_public_road:
        yield "It happened on a public road, which these rules mostly leave out."
    if case.fatal is False and case.treated_in_hospital is False:
        yield (
            "Nobody was taken straight to hospital and treated. Days off do not count "
            "for volunteers and visitors."
        )


def _unknown(case: Case) -> Iterator[str]:
    """Yield what has to be found out first."""
    if case.work_related is None:
        yield "Find out whether the work, its machines or its place had a part in it."
    if case.employer is None:
        yield "Find out whether an employer or a business ran the work or the place."
    if case.on_public_road is None:
        yield "Find out whether it happened on a public road."
    if not case.fatal and case.treated_in_hospital is None:
        yield "Find out whether they were taken straight to hospital and treated."
    if case.fatal is None and case.treated_in_hospital is False:
        yield "Find out whether somebody died."
