"""Capacities, petrol and prompts against what councils, law and HSE print."""

import pytest

from heritage.calc.risk import (
    OPEN_AIR_RATE,
    Case,
    Hurt,
    Petrol,
    RiskBand,
    Severity,
    band,
    exit_capacity,
    holding_capacity,
    needs_named_person,
    petrol_storage,
    reporting_prompt,
    site_capacity,
)
from tests.outside.hse import HSE_CASES


def test_the_exits_of_hastings():
    """Hastings council: 5 m at 109 for 5 minutes lets 2,725 out."""
    assert exit_capacity(5, rate=OPEN_AIR_RATE, minutes=5) == 2_725


def test_the_exit_of_dover():
    """Dover council: 1.5 m at 82 for 8 minutes, which it rounds to "up to 1,000"."""
    assert exit_capacity(1.5, rate=82, minutes=8) == 984


def test_the_ground_of_stockton():
    """1,150 m² at two each. Stockton's page prints 4,600: that is four each."""
    assert holding_capacity(1_150) == 2_300
    assert holding_capacity(1_150, per_m2=4) == 4_600


def test_the_lower_counts_and_the_largest_exit_is_left_out():
    """Buckinghamshire council's rule."""
    site = site_capacity(10_000, [3.0, 2.0, 6.0])
    assert site.by_exits == exit_capacity(5.0)
    assert site.people == site.by_exits < site.by_area
    small = site_capacity(100, [3.0, 2.0, 6.0])
    assert small.people == small.by_area == 200


@pytest.mark.parametrize(
    ("litres", "verdict"),
    [
        (30, Petrol.FREE),
        (31, Petrol.NOTIFY),
        (275, Petrol.NOTIFY),
        (276, Petrol.REFUSE),
    ],
)
def test_petrol_away_from_a_workplace(litres, verdict):
    """SI 2014/1637, schedule 2."""
    assert petrol_storage(litres).verdict is verdict


@pytest.mark.parametrize("name", HSE_CASES)
def test_hses_five_published_cases(name):
    (work, employer, road, hospital), answer = HSE_CASES[name]
    case = Case(
        "gb",
        Hurt.VOLUNTEER,
        work_related=work,
        employer=employer,
        on_public_road=road,
        fatal=False,
        treated_in_hospital=hospital,
    )
    assert reporting_prompt(case).answer is answer


@pytest.mark.parametrize(
    ("severity", "likelihood", "expected"),
    [
        (3, 1, RiskBand.TRIVIAL),
        (4, 1, RiskBand.REDUCE),
        (4, 3, RiskBand.REDUCE),
        (5, 3, RiskBand.INTOLERABLE),
    ],
)
def test_the_bands_of_an_iosh_text(severity, likelihood, expected):
    """Above 12 of 25 intolerable, below 4 trivial: a convention, no standard."""
    assert band(severity, likelihood) is expected


def test_what_could_kill_needs_a_named_person_whatever_the_product():
    """Our own rule, from no outside source."""
    assert needs_named_person(Severity.DEATH)
    assert not needs_named_person(Severity.HOSPITAL)
