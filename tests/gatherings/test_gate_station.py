"""At the gate nobody is given a station that is not for them."""

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from heritage.briefings.models import Acknowledgement
from heritage.gatherings.gate import services
from heritage.gatherings.gate.selectors import gate_page, stations_for
from heritage.gatherings.models import SignUp, SignUpStatus
from heritage.people.models import AgeBand
from tests.factories import (
    NOW,
    make_acknowledgement,
    make_briefing,
    make_briefing_version,
    make_competence,
    make_gathering,
    make_sign_up,
    make_station,
    make_turnout,
    make_volunteer,
)
from tests.gatherings.test_gate import HOUR, Evening


class GateStationTests(Evening):
    """Bob walked in; treading asks for a briefing and for an adult."""

    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        cls.briefing = make_briefing(demonstration=cls.place, title="At the water")
        cls.version = make_briefing_version(briefing=cls.briefing)
        cls.pull = cls.gathering.stations.get()
        cls.bands = make_station(
            gathering=cls.gathering, title="Bands", least_age=AgeBand.UNDER_13, places=1
        )
        cls.tread = make_station(
            gathering=cls.gathering,
            title="Tread",
            kind="tread",
            places=2,
            least_age=AgeBand.ADULT,
            briefing=cls.briefing,
        )

    def put(self, who, station, **more):
        said = {"gathering": self.gathering, "by": self.lead.user, "now": NOW} | more
        return services.put_at(volunteer=who, station=station, **said)

    def here(self, name, **fields):
        who = self.paper(name, **fields)
        make_turnout(
            gathering=self.gathering, volunteer=who, arrived_at=NOW, left_at=None
        )
        return who

    def page_of(self, who):
        return reverse(
            "gatherings:gate_station",
            args=[self.place.slug, self.gathering.pk, who.pk],
        )

    def test_a_walk_in_is_given_a_station_once_they_heard_its_briefing(self):
        with pytest.raises(ValidationError, match="not heard the briefing") as refused:
            self.put(self.bob, self.tread)
        assert refused.value.code == "briefing"
        make_acknowledgement(version=self.version, volunteer=self.bob)
        entry = self.put(self.bob, self.tread)
        assert (entry.station, entry.status) == (self.tread, SignUpStatus.HELD)

    def test_a_child_is_not_put_below_the_age(self):
        child = self.here("Tam Birch", age_band=AgeBand.FROM_13, guardian=self.bob)
        make_acknowledgement(version=self.version, volunteer=child)
        with pytest.raises(ValidationError):
            self.put(child, self.tread)
        assert not SignUp.objects.by(child).exists()
        assert self.put(child, self.bands).station == self.bands

    def test_nobody_is_put_where_they_are_not_able(self):
        self.bands.competence = make_competence(demonstration=self.place)
        self.bands.save(update_fields=["competence"])
        with pytest.raises(ValidationError, match="confirmed by an organiser"):
            self.put(self.bob, self.bands)

    def test_only_whoever_is_here_is_put_anywhere(self):
        with pytest.raises(ValidationError, match="isn't marked as here yet"):
            self.put(self.ann, self.pull)
        stranger = make_volunteer()
        with pytest.raises(ValidationError, match="isn't marked as here yet"):
            self.put(stranger, self.pull)

    def test_a_station_of_another_evening_is_refused(self):
        with pytest.raises(ValidationError, match="another gathering"):
            self.put(self.bob, make_station())

    def test_only_the_lead_puts_people_and_only_while_the_gate_is_open(self):
        with pytest.raises(ValidationError, match="Only the lead"):
            self.put(self.bob, self.pull, by=make_volunteer().user)
        with pytest.raises(ValidationError, match="The gate isn't open now"):
            self.put(self.bob, self.pull, now=NOW + 24 * HOUR)

    def test_a_gathering_called_off_gives_no_stations(self):
        self.gathering.status = "called_off"
        self.gathering.save(update_fields=["status"])
        with pytest.raises(ValidationError, match="This gathering isn't on"):
            self.put(self.bob, self.pull)

    def test_somebody_is_moved_while_the_work_goes_on(self):
        entry = self.put(self.bob, self.pull)
        assert self.put(self.bob, self.pull).pk == entry.pk
        moved = self.put(self.bob, self.bands)
        assert (moved.pk, moved.station) == (entry.pk, self.bands)
        assert SignUp.objects.live().by(self.bob).count() == 1

    def test_a_full_station_takes_nobody_and_says_who_has_not_come(self):
        make_sign_up(station=self.bands, volunteer=self.paper("Cara Moss"))
        with pytest.raises(ValidationError, match="Not come yet: Cara Moss"):
            self.put(self.bob, self.bands)
        make_turnout(
            gathering=self.gathering,
            volunteer=SignUp.objects.at(self.bands).get().volunteer,
            arrived_at=NOW,
            left_at=None,
        )
        with pytest.raises(ValidationError, match="Move somebody first"):
            self.put(self.bob, self.bands)

    def test_whoever_waited_and_stands_here_has_the_place_first(self):
        self.put(self.bob, self.bands)
        home, dora = self.paper("Cara Moss"), self.here("Dora Vale")
        for who in (home, dora):
            make_sign_up(station=self.bands, volunteer=who, status=SignUpStatus.WAITING)
        self.put(self.bob, self.pull)
        assert SignUp.objects.at(self.bands).held().get().volunteer == dora
        assert SignUp.objects.at(self.bands).waiting().get().volunteer == home

    def test_before_it_begins_the_queue_comes_first(self):
        early = make_gathering(
            demonstration=self.place, lead=self.lead, starts_at=NOW + HOUR
        )
        station = make_station(gathering=early, places=1)
        waits = make_sign_up(
            station=station, volunteer=self.ann, status=SignUpStatus.WAITING
        )
        make_turnout(gathering=early, volunteer=self.bob, arrived_at=NOW, left_at=None)
        with pytest.raises(ValidationError, match="is full"):
            self.put(self.bob, station, gathering=early)
        waits.refresh_from_db()
        assert waits.status == SignUpStatus.WAITING
        make_turnout(gathering=early, volunteer=self.ann, arrived_at=NOW, left_at=None)
        entry = self.put(self.ann, station, gathering=early)
        assert (entry.pk, entry.status) == (waits.pk, SignUpStatus.HELD)

    def test_whoever_stands_here_has_answered(self):
        entry = make_sign_up(
            station=self.bands, volunteer=self.bob, answer_by=NOW - HOUR
        )
        assert self.put(self.bob, self.bands).pk == entry.pk
        entry.refresh_from_db()
        assert entry.answer_by is None

    def test_the_gate_shows_who_may_not_begin(self):
        make_sign_up(station=self.tread, volunteer=self.bob)
        child = self.here("Tam Birch", age_band=AgeBand.FROM_13, guardian=self.ann)
        page = gate_page(self.gathering, NOW)
        found = {one.volunteer: one for one in page.here}
        assert found[self.bob].not_yet.needs_briefing
        assert (found[child].station, found[child].is_alone) == ("", True)
        assert page.waits == 2
        services.arrive(volunteer=self.ann, **self.by_lead())
        self.client.force_login(self.lead.user)
        shown = self.on_page()
        self.assertContains(shown, "not heard")
        self.assertContains(shown, "no station yet")
        self.assertNotContains(shown, "their adult is not here")

    def test_the_gate_costs_the_same_however_many_there_are(self):
        def cost():
            with self.assertNumQueries(5):
                gate_page(self.gathering, NOW)

        cost()
        for number in range(20):
            who = self.here(f"Zed {number}")
            make_sign_up(station=self.tread, volunteer=who)
        cost()

    def test_the_page_of_stations_costs_the_same_however_many_there_are(self):
        def cost():
            with self.assertNumQueries(5):
                stations_for(self.gathering, self.bob, NOW)

        cost()
        for number in range(10):
            make_station(
                gathering=self.gathering, title=f"S {number}", briefing=self.briefing
            )
        cost()

    def test_the_lead_reads_ticks_and_puts_by_presses(self):
        self.client.force_login(self.lead.user)
        page = self.client.get(self.page_of(self.bob))
        self.assertContains(page, "Heard it now")
        sent = self.client.post(self.page_of(self.bob), {"station": self.tread.pk})
        self.assertRedirects(sent, self.page_of(self.bob))
        assert not SignUp.objects.by(self.bob).exists()
        self.client.post(
            reverse("briefings:tick_off", args=[self.place.slug, self.briefing.pk]),
            {"people": self.bob.pk, "version": self.version.pk, "how": "aloud"},
        )
        assert Acknowledgement.objects.filter(volunteer=self.bob).exists()
        page = self.client.get(self.page_of(self.bob))
        self.assertNotContains(page, "Heard it now")
        sent = self.client.post(self.page_of(self.bob), {"station": self.tread.pk})
        self.assertRedirects(sent, self.gathering.get_absolute_url())
        assert SignUp.objects.by(self.bob).get().station == self.tread
        page = self.client.get(self.page_of(self.bob))
        self.assertContains(page, "At Tread")
        self.assertContains(page, "theirs")

    def test_nonsense_is_answered_in_words(self):
        self.client.force_login(self.lead.user)
        for said in ({}, {"station": "x"}, {"station": make_station().pk}):
            sent = self.client.post(self.page_of(self.bob), said, follow=True)
            self.assertContains(sent, "station")
            assert not SignUp.objects.by(self.bob).exists()

    def test_a_stranger_is_not_found_and_who_has_not_come_has_no_buttons(self):
        self.client.force_login(self.lead.user)
        assert self.client.get(self.page_of(make_volunteer())).status_code == 404
        page = self.client.get(self.page_of(self.ann))
        self.assertContains(page, "not marked as here")
        self.assertNotContains(page, "Put them at")

    def test_a_place_of_somebody_who_did_not_come_is_taken_off_till_the_end(self):
        entry = SignUp.objects.get(volunteer=self.ann)
        self.client.force_login(self.lead.user)
        where = [self.place.slug, self.gathering.pk, entry.pk]
        page = self.client.get(reverse("gatherings:place", args=where))
        self.assertContains(page, "Take off the list")
        self.assertContains(page, "Put them at another station")
