"""The age rules against what the regulators publish.

Great Britain: SI 1998/3262 and HSE's pages on children on farms (13 to ride or
drive; 16 to drive, work or help at harvesters and processing machines); MHSWR 1999
reg. 19 (under 18 weighed first). Northern Ireland: SR 2006/335 regs 3 to 7 (13, then
a certificate and supervision). Republic of Ireland: HSA (7 in a cab, 14 to operate).
Stewards: South Tyneside council's event guidance (18).
"""

import pytest

from heritage.calc.young_people import least_age, published_rule


@pytest.mark.parametrize(
    ("place", "work", "age"),
    [
        ("gb", "ride", 13),
        ("gb", "drive", 16),
        ("gb", "feed", 16),
        ("gb", "lift_off", 16),
        ("ni", "ride", 13),
        ("ni", "drive", 13),
        ("ie", "ride", 7),
        ("ie", "drive", 14),
    ],
)
def test_published_ages(place, work, age):
    rule = published_rule(place, work)
    assert rule is not None
    assert rule.least_age == age
    assert rule.status == "published"


def test_a_child_of_twelve_is_refused_a_ride_everywhere():
    for place in ("gb", "ni", "ie", "elsewhere"):
        assert least_age(place, "ride").least_age > 12


def test_fifteen_is_refused_at_the_puller_and_sixteen_is_weighed_first():
    rule = least_age("gb", "feed")
    assert 15 < rule.least_age == 16 < rule.review_below == 18


def test_stewards_are_eighteen_as_council_guidance_asks():
    for place in ("gb", "ni", "ie"):
        assert least_age(place, "steward").least_age == 18


@pytest.mark.parametrize("work", ["pull", "tie", "stone", "tread", "fork"])
@pytest.mark.parametrize("place", ["gb", "ni", "ie"])
def test_no_published_age_is_claimed_where_none_was_found(place, work):
    assert published_rule(place, work) is None
