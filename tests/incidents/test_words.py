"""What the prompt on reporting says, in sentences that promise nothing."""

from itertools import product

from heritage.calc.risk import Case, Hurt, Reporting, WhyReport, reporting_prompt
from heritage.incidents.words import ANSWERS, WHY


def said(case):
    return [str(WHY[reason]) for reason in reporting_prompt(case).reasons]


def test_every_code_has_its_sentence():
    assert set(WHY) == set(WhyReport)
    assert set(ANSWERS) == set(Reporting)


def test_a_death_in_the_work_is_to_be_reported_without_delay():
    assert said(Case("gb", Hurt.VISITOR, True, True, False, fatal=True)) == [
        "It had to do with work run by an employer or a business, and somebody died.",
        "Report it without delay by the official route.",
    ]


def test_a_visitor_taken_to_hospital_is_to_be_reported_without_delay():
    case = Case("gb", Hurt.VISITOR, True, True, False, treated_in_hospital=True)
    assert said(case)[0] == (
        "It had to do with work run by an employer or a business, and the injured "
        "person was taken straight to hospital and treated."
    )


def test_for_employees_it_sends_to_the_official_pages():
    assert said(Case("gb", Hurt.EMPLOYEE, work_related=False)) == [
        "For employees the rules go further. Check the official pages."
    ]


def test_elsewhere_it_sends_to_the_authority_of_the_place():
    assert said(Case("ie", Hurt.VOLUNTEER, fatal=True)) == [
        "Other rules apply here. Ask the local safety authority."
    ]


def test_what_speaks_against_it_is_said():
    case = Case("gb", Hurt.VOLUNTEER, False, False, True, False, False)
    assert said(case) == [
        "Neither the work nor its place had a part in it.",
        "Nobody with employees or in business ran the work or the place.",
        "It happened on a public road, which these rules mostly leave out.",
        "Nobody was taken straight to hospital and treated. Days off don't count for "
        "volunteers and visitors.",
    ]


def test_what_is_not_known_is_to_be_found_out():
    assert said(Case("gb", Hurt.VISITOR)) == [
        "Find out whether the work, its machines or its place had a part in it.",
        "Find out whether an employer or a business ran the work or the place.",
        "Find out whether it happened on a public road.",
        "Find out whether they were taken straight to hospital and treated.",
    ]
    assert WHY[WhyReport.FIND_OUT_DEATH] == "Find out whether somebody died."


def test_no_prompt_promises_that_nothing_need_be_reported():
    texts = [
        text
        for known in product([None, False, True], repeat=5)
        for text in said(Case("gb", Hurt.VOLUNTEER, *known))
    ]
    assert not any("not reportable" in text or "need not" in text for text in texts)
