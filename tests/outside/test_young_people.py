"""The age rules against what the regulators publish.

Great Britain: SI 1998/3262 and HSE's pages on children on farms (13 to ride or
drive; 16 to drive, work or help at harvesters and processing machines); MHSWR 1999
reg. 19 (under 18 weighed first). Northern Ireland: SR 2006/335 regs 3 to 7 (13, then
a certificate and supervision). Republic of Ireland: HSA (7 in a cab, 14 to operate).
Stewards: South Tyneside council's event guidance (18).
"""

from datetime import date

import pytest
from django.core.exceptions import ValidationError
from django.test import TestCase

from heritage.briefings.words import rule_words
from heritage.calc.young_people import least_age, published_rule, published_rules
from heritage.gatherings.asked.services import weigh
from heritage.gatherings.models import SignUp, SignUpStatus
from heritage.gatherings.places.services import sign_up
from heritage.people.models import AgeBand
from tests.factories import (
    NOW,
    make_demonstration,
    make_gathering,
    make_organiser,
    make_sign_up,
    make_station,
    make_volunteer,
)


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


@pytest.mark.parametrize(
    ("place", "words", "source"),
    [
        ("gb", "low-powered tractor", "NFU"),
        ("gb", "Parents are told", "MHSWR 1999 reg. 19"),
        ("ni", "maintains a machine", "SR 2006/335"),
        ("ni", "a certificate", "SR 2006/335"),
        ("ie", "fitted seat", "HSA"),
    ],
)
def test_what_is_published_beyond_our_stations_is_there_with_its_source(
    place, words, source
):
    (rule,) = [one for one in published_rules(place) if words in rule_words(one).reason]
    assert source in rule_words(rule).source
    assert rule.status == "published"


def test_stewards_are_eighteen_as_council_guidance_asks():
    for place in ("gb", "ni", "ie"):
        assert least_age(place, "steward").least_age == 18


@pytest.mark.parametrize("work", ["pull", "tie", "stone", "tread", "fork"])
@pytest.mark.parametrize("place", ["gb", "ni", "ie"])
def test_no_published_age_is_claimed_where_none_was_found(place, work):
    assert published_rule(place, work) is None


@pytest.mark.any_database
class SignUpByTheRulesTests(TestCase):
    """The published cases from end to end: who asks for a place, and who gets one."""

    def ask(self, place, kind, band, born_on=None):
        """Let a guardian ask for a young person's place at a station of some kind."""
        here = {"demonstration": make_demonstration(jurisdiction=place)}
        self.nora, guardian = make_organiser(**here), make_volunteer(**here)
        self.young = make_volunteer(
            user=None, age_band=band, born_on=born_on, guardian=guardian, **here
        )
        # The organiser asks nothing of age: what is refused, the rules refuse.
        self.station = make_station(
            gathering=make_gathering(**here), kind=kind, least_age=AgeBand.UNDER_13
        )
        self.by = guardian.user
        return self.again()

    def again(self):
        row = sign_up(station=self.station, volunteer=self.young, by=self.by, now=NOW)
        return row.status

    def refused(self, place, kind, band, born_on=None):
        with pytest.raises(ValidationError) as refused:
            self.ask(place, kind, band, born_on)
        assert not SignUp.objects.exists()
        return refused.value

    def test_a_child_of_twelve_neither_rides_nor_drives(self):
        """SI 1998/3262 and SR 2006/335: nobody under 13; the HSA: nobody under 14."""
        for place in ("gb", "ni", "ie", "elsewhere"):
            with self.subTest(place=place):
                born = date(2014, 8, 1)
                assert self.refused(place, "drive", "under_13", born).code == "age"

    def test_fifteen_is_refused_at_the_puller(self):
        """HSE: nobody under 16 works, or helps to work, a harvester."""
        for kind in ("feed", "lift_off", "drive"):
            with self.subTest(kind=kind):
                assert (
                    self.refused("gb", kind, "from_13", date(2011, 1, 1)).code == "age"
                )
                assert self.refused("gb", kind, "from_13").code == "age"

    def test_sixteen_at_the_puller_is_the_organisers_decision(self):
        """MHSWR 1999 reg. 19: under 18, inexperience is weighed first."""
        for place in ("gb", "ni", "ie", "elsewhere"):
            refused = self.refused(place, "feed", "from_16", date(2010, 8, 1))
            assert refused.code == "weighing"
            assert "an organiser first decides" in refused.message
            decision = {"volunteer": self.young, "work": "feed", "why": "New to it."}
            by = {"by": self.nora.user, "now": NOW}
            weigh(may=False, **decision, **by)
            with pytest.raises(ValidationError, match="not for"):
                self.again()
            weigh(may=True, **decision, **by)
            assert self.again() == SignUpStatus.HELD
            SignUp.objects.all().delete()

    def test_who_turns_sixteen_before_the_gathering_is_sixteen_there(self):
        """The gathering is on 13 August 2026."""
        assert (
            self.refused("gb", "feed", "from_13", date(2010, 8, 13)).code == "weighing"
        )
        assert self.refused("gb", "feed", "from_13", date(2010, 8, 14)).code == "age"

    def test_eighteen_asks_nobody(self):
        day = date(2008, 8, 13)
        assert self.ask("gb", "feed", "from_16", day) == SignUpStatus.HELD

    def test_pulling_by_hand_is_for_any_age_under_13_beside_their_adult(self):
        """Our own rule, without a printed source."""
        assert self.refused("gb", "pull", "under_13").code == "adult"
        make_sign_up(station=self.station, volunteer=self.young.guardian)
        assert self.again() == SignUpStatus.HELD

    def test_stewards_and_whoever_goes_near_the_water_are_grown_up(self):
        """Council guidance for stewards; our own rule for the water."""
        for kind in ("steward", "tread", "stone"):
            assert self.refused("gb", kind, "from_16", date(2008, 8, 14)).code == "age"
