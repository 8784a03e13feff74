"""Judgements keep their two halves; capacities and prompts err on the safe side."""

import math
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heritage.calc.reasons import Reason
from heritage.calc.risk import (
    Case,
    Hurt,
    Likelihood,
    Petrol,
    PetrolAnswer,
    Rating,
    Reporting,
    ResidualProblem,
    RiskBand,
    Severity,
    SiteWarning,
    WhyReport,
    band,
    exit_capacity,
    holding_capacity,
    needs_named_person,
    petrol_storage,
    reporting_prompt,
    residual_problems,
    site_capacity,
)

ORDER = list(RiskBand)
maybe = st.sampled_from([None, False, True])


@pytest.mark.parametrize(
    ("severity", "likelihood"), list(product(Severity, Likelihood))
)
def test_a_worse_judgement_never_asks_for_less(severity, likelihood):
    here = ORDER.index(band(severity, likelihood))
    assert ORDER.index(band(min(severity + 1, 5), likelihood)) >= here
    assert ORDER.index(band(severity, min(likelihood + 1, 5))) >= here


def test_where_the_bands_part_is_a_setting():
    assert band(Severity.HOSPITAL, Likelihood.POSSIBLE) is RiskBand.REDUCE
    strict = band(Severity.HOSPITAL, Likelihood.POSSIBLE, intolerable_above=11)
    assert strict is RiskBand.INTOLERABLE
    assert band(1, 3, trivial_below=3) is RiskBand.REDUCE


@pytest.mark.parametrize("severity", list(Severity))
def test_only_what_could_kill_needs_a_named_person_however_unlikely(severity):
    assert needs_named_person(severity) is (severity == 5)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: band(0, 3), "0 is not a valid Severity"),
        (lambda: band(3, 6), "6 is not a valid Likelihood"),
        (lambda: needs_named_person(6), "6 is not a valid Severity"),
        (lambda: Rating(3, 0), "0 is not a valid Likelihood"),
        (lambda: band(3, 3, trivial_below=0), "trivial_below must be 1 or more"),
        (lambda: band(3, 3, intolerable_above=3), "must not be below trivial_below"),
    ],
)
def test_what_is_on_no_scale_is_refused(call, message):
    with pytest.raises(ValueError, match=message):
        call()


@pytest.mark.parametrize(
    ("before", "after", "reason", "problem"),
    [
        (Rating(5, 4), Rating(5, 1), "", None),
        (Rating(5, 4), Rating(3, 4), "", ResidualProblem.SAY_WHY_LESS_BAD),
        (Rating(5, 4), Rating(3, 4), "   ", ResidualProblem.SAY_WHY_LESS_BAD),
        (Rating(5, 4), Rating(3, 4), "The water is only knee-deep.", None),
        (Rating(3, 2), Rating(3, 3), "", ResidualProblem.WORSE_WITH_CONTROLS),
        (Rating(3, 2), Rating(4, 2), "", ResidualProblem.WORSE_WITH_CONTROLS),
    ],
)
def test_a_hazard_is_said_to_be_less_bad_only_with_a_reason(
    before, after, reason, problem
):
    found = residual_problems(before, after, severity_reason=reason)
    assert found == ((problem,) if problem else ())


# Ground and exits


@given(st.floats(0, 50_000), st.floats(0, 50_000))
def test_more_ground_holds_no_fewer_and_what_is_taken_counts(one, other):
    small, large = sorted((one, other))
    assert holding_capacity(small) <= holding_capacity(large)
    assert holding_capacity(large, taken_m2=small) <= holding_capacity(large)


@given(st.lists(st.floats(0.5, 10), max_size=6), st.floats(10, 50_000))
def test_a_site_takes_the_lower_with_its_widest_exit_shut(widths, area):
    site = site_capacity(area, widths)
    open_still = sum(widths) - max(widths, default=0)
    assert site.people == min(site.by_area, site.by_exits)
    assert site.by_exits == pytest.approx(open_still * 82 * 5, abs=1.001)
    assert bool(site.warnings) == (len(widths) < 2 or min(widths) < 1.5)


def test_a_site_with_one_narrow_exit_takes_nobody_and_says_both():
    site = site_capacity(1000, [1.2])
    assert site.people == 0
    assert site.warnings == (
        Reason(SiteWarning.FEW_EXITS, {"fewest": 2}),
        Reason(SiteWarning.NARROW_EXIT, {"narrowest_m": 1.5}),
    )


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: exit_capacity(math.nan), "width_m must be a finite number"),
        (lambda: exit_capacity(2, rate=0), "rate must be above zero"),
        (lambda: exit_capacity(2, minutes=0), "minutes must be above zero"),
        (lambda: holding_capacity(-1), "area_m2 must not be negative"),
        (lambda: holding_capacity(10, taken_m2=11), "must not be above the area"),
        (lambda: holding_capacity(10, per_m2=4.1), "per_m2 must not be above 4"),
        (lambda: site_capacity(10, [0.0, 2]), "exit_widths_m must be above zero"),
        (lambda: petrol_storage(-1), "litres must not be negative"),
    ],
)
def test_figures_without_meaning_are_refused(call, message):
    with pytest.raises(ValueError, match=message):
        call()


# Petrol


@given(st.floats(0, 1000), st.floats(0, 1000))
def test_more_petrol_never_asks_for_less(one, other):
    order = [Petrol.FREE, Petrol.NOTIFY, Petrol.REFUSE]
    little, much = sorted((one, other))
    first, second = (petrol_storage(each).verdict for each in (little, much))
    assert order.index(first) <= order.index(second)


@pytest.mark.parametrize(
    ("litres", "answer"),
    [
        (30, PetrolAnswer(Petrol.FREE, 30)),
        (31, PetrolAnswer(Petrol.NOTIFY, 30)),
        (276, PetrolAnswer(Petrol.REFUSE, 275)),
    ],
)
def test_an_answer_on_petrol_names_its_limit(litres, answer):
    assert petrol_storage(litres) == answer


@pytest.mark.parametrize("jurisdiction", ["ni", "ie", "elsewhere"])
def test_elsewhere_petrol_and_reports_are_to_be_asked_about(jurisdiction):
    assert petrol_storage(5, jurisdiction=jurisdiction) == PetrolAnswer(Petrol.ASK)
    prompt = reporting_prompt(Case(jurisdiction, Hurt.VOLUNTEER, fatal=True))
    assert prompt.answer is Reporting.ASK
    assert prompt.reasons == (WhyReport.OTHER_RULES,)


# Reports


@given(st.sampled_from([Hurt.VOLUNTEER, Hurt.VISITOR]), st.tuples(*[maybe] * 5))
def test_a_prompt_always_gives_reasons_and_never_guesses(hurt, known):
    case = Case("gb", hurt, *known)
    prompt = reporting_prompt(case)
    assert prompt.reasons
    if prompt.answer is Reporting.LIKELY:
        assert (case.work_related, case.employer, case.on_public_road) == (
            True,
            True,
            False,
        )
        assert case.fatal or case.treated_in_hospital
    if prompt.answer is Reporting.NOTHING_FOUND:
        assert False in known or case.on_public_road


def test_of_an_unknown_accident_everything_is_asked():
    prompt = reporting_prompt(Case("gb", Hurt.VISITOR))
    assert prompt.answer is Reporting.ASK
    assert prompt.reasons == (
        WhyReport.FIND_OUT_WORK,
        WhyReport.FIND_OUT_EMPLOYER,
        WhyReport.FIND_OUT_ROAD,
        WhyReport.FIND_OUT_HOSPITAL,
    )


def test_where_nobody_went_to_hospital_it_asks_whether_somebody_died():
    case = Case(
        "gb",
        Hurt.VOLUNTEER,
        work_related=True,
        employer=True,
        on_public_road=False,
        treated_in_hospital=False,
    )
    assert reporting_prompt(case).reasons == (WhyReport.FIND_OUT_DEATH,)


def test_a_death_in_the_work_is_likely_reportable():
    case = Case("gb", Hurt.VISITOR, True, True, False, fatal=True)
    prompt = reporting_prompt(case)
    assert prompt.answer is Reporting.LIKELY
    assert prompt.reasons == (WhyReport.DIED_AT_WORK, WhyReport.REPORT_NOW)


def test_for_employees_it_sends_to_the_official_pages():
    prompt = reporting_prompt(Case("gb", Hurt.EMPLOYEE, work_related=False))
    assert prompt.answer is Reporting.ASK
    assert prompt.reasons == (WhyReport.EMPLOYEE,)
