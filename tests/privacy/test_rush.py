"""Merging and erasing while people sign up and come through the gate."""

from datetime import timedelta

from django.core.exceptions import ValidationError

from heritage.gatherings.gate import services as gate_services
from heritage.gatherings.models import SignUp, Turnout
from heritage.gatherings.places import services as gatherings
from heritage.people.models import Volunteer
from heritage.privacy.erasing import services as erasing_services
from heritage.privacy.merging import services
from heritage.privacy.models import Erasure, Merge
from tests.factories import (
    NOW,
    make_demonstration,
    make_gathering,
    make_organiser,
    make_station,
    make_volunteer,
)
from tests.rush import RushCase

EVENINGS = 12


class PeopleRushTests(RushCase):
    """One line is taken away while it is written into a dozen evenings."""

    def make(self):
        self.refused = set()
        where = make_demonstration()
        self.nora = make_organiser(demonstration=where)
        self.kept = make_volunteer(demonstration=where, name="Ann Rush", email="")
        self.gone = make_volunteer(
            demonstration=where, user=None, name="Ann Rush again", email=""
        )
        self.stations = []
        for _ in range(EVENINGS):
            gathering = make_gathering(
                demonstration=where,
                starts_at=NOW + timedelta(hours=1),
                ends_at=NOW + timedelta(hours=3),
            )
            station = make_station(gathering=gathering, places=5)
            self.stations.append(
                type(station)
                .objects.select_related("gathering__demonstration")
                .get(pk=station.pk)
            )

    def sign_up(self, number):
        """Write the line that goes into one evening, by the row as it was read."""
        try:
            gatherings.sign_up(
                station=self.stations[number],
                volunteer=self.gone,
                by=self.nora.user,
                now=NOW,
            )
        except ValidationError as refusal:
            self.refused.update(refusal.messages)

    def arrive(self, number):
        """Take the line through the gate, and a newcomer, who goes onto the list."""
        where = {
            "gathering": self.stations[number].gathering,
            "by": self.nora.user,
            "now": NOW,
        }
        gate_services.arrive_new(name=f"Newcomer {number}", **where)
        try:
            gate_services.arrive(volunteer=self.gone, **where)
        except ValidationError as refusal:
            self.refused.update(refusal.messages)

    def merge(self, _):
        services.merge(gone=self.gone, kept=self.kept, by=self.nora.user, now=NOW)

    def erase(self, _):
        asked = {"by": self.nora.user, "now": NOW}
        try:
            erasure = erasing_services.ask_erasure(volunteer=self.gone, **asked)
        except ValidationError as refusal:
            self.refused.update(refusal.messages)
        else:
            erasing_services.carry_out_erasure(erasure=erasure, **asked)

    def amid(self, take_away, write_in):
        """Write in from a dozen threads and take away from two in their midst."""

        def act(number):
            if number in {EVENINGS // 2, EVENINGS + 1}:
                take_away(number)
            else:
                write_in(number - (number > EVENINGS // 2))

        self.together(act, EVENINGS + 2)
        late = f"{self.gone} isn't on the list any more. Reload the page."
        twice = "This person was already deleted or joined with another."
        assert self.refused <= {late, twice}

    def test_nothing_stays_on_a_line_that_was_merged(self):
        self.amid(self.merge, self.sign_up)
        assert self.rows_of(SignUp.objects.filter(volunteer=self.gone)) == []
        assert len(self.rows_of(Merge.objects.all())) == 1

    def test_the_gate_and_a_merge_never_wait_for_each_other_for_ever(self):
        self.amid(self.merge, self.arrive)
        assert self.rows_of(Turnout.objects.filter(volunteer=self.gone)) == []
        newcomers = Volunteer.objects.filter(name__startswith="Newcomer")
        assert len(self.rows_of(newcomers)) == EVENINGS

    def test_nobody_is_signed_up_who_was_erased(self):
        self.amid(self.erase, self.sign_up)
        live = SignUp.objects.live().filter(volunteer=self.gone)
        assert self.rows_of(live) == []
        assert len(self.rows_of(Erasure.objects.all())) == 1
