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
    NOTHING_FOUND = "nothing_found"
    ASK = "ask"


class WhyReport(StrEnum):
    """Why the prompt answers so, or what has to be found out first."""

    DIED_AT_WORK = "died_at_work"
    TREATED_IN_HOSPITAL = "treated_in_hospital"
    REPORT_NOW = "report_now"
    OTHER_RULES = "other_rules"
    EMPLOYEE = "employee"
    NOT_THE_WORK = "not_the_work"
    NO_EMPLOYER = "no_employer"
    PUBLIC_ROAD = "public_road"
    NOT_IN_HOSPITAL = "not_in_hospital"
    FIND_OUT_WORK = "find_out_work"
    FIND_OUT_EMPLOYER = "find_out_employer"
    FIND_OUT_ROAD = "find_out_road"
    FIND_OUT_HOSPITAL = "find_out_hospital"
    FIND_OUT_DEATH = "find_out_death"


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
    reasons : tuple of WhyReport
        Why. Decide with the official pages, and keep a record either way.
    """

    answer: Reporting
    reasons: tuple[WhyReport, ...]


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
    harm = WhyReport.DIED_AT_WORK if case.fatal else WhyReport.TREATED_IN_HOSPITAL
    return Prompt(Reporting.LIKELY, (harm, WhyReport.REPORT_NOW))


def _elsewhere(case: Case) -> WhyReport | None:
    """Say why these rules are not the ones to go by, if they are not."""
    if case.jurisdiction != "gb":
        return WhyReport.OTHER_RULES
    return WhyReport.EMPLOYEE if case.hurt is Hurt.EMPLOYEE else None


def _against(case: Case) -> Iterator[WhyReport]:
    """Yield what speaks against its being reportable."""
    if case.work_related is False:
        yield WhyReport.NOT_THE_WORK
    if case.employer is False:
        yield WhyReport.NO_EMPLOYER
    if case.on_public_road:
        yield WhyReport.PUBLIC_ROAD
    if case.fatal is False and case.treated_in_hospital is False:
        yield WhyReport.NOT_IN_HOSPITAL


def _unknown(case: Case) -> Iterator[WhyReport]:
    """Yield what has to be found out first."""
    if case.work_related is None:
        yield WhyReport.FIND_OUT_WORK
    if case.employer is None:
        yield WhyReport.FIND_OUT_EMPLOYER
    if case.on_public_road is None:
        yield WhyReport.FIND_OUT_ROAD
    if not case.fatal and case.treated_in_hospital is None:
        yield WhyReport.FIND_OUT_HOSPITAL
    if case.fatal is None and case.treated_in_hospital is False:
        yield WhyReport.FIND_OUT_DEATH
