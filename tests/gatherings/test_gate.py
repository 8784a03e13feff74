"""The gate and the head-count: services, pages and their cost."""

import re
import uuid
from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, connection, transaction
from django.test import TestCase
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from heritage.gatherings.gate import services
from heritage.gatherings.gate.selectors import gate_page, head_count, turnout_page
from heritage.gatherings.models import Gathering, Muster, Turnout
from heritage.people.models import AgeBand, Volunteer
from tests.factories import (
    NOW,
    make_briefing,
    make_briefing_version,
    make_demonstration,
    make_emergency_plan,
    make_entry,
    make_gathering,
    make_muster,
    make_organiser,
    make_safe,
    make_sign_up,
    make_station,
    make_turnout,
    make_volunteer,
)

HOUR = timedelta(hours=1)


class Evening(TestCase):
    """An evening that began an hour ago, with Ann expected and Bob at work."""

    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()
        cls.lead = make_volunteer(demonstration=cls.place, name="Orla Fenn")
        cls.gathering = make_gathering(
            demonstration=cls.place,
            lead=cls.lead,
            starts_at=NOW - HOUR,
            ends_at=NOW + 2 * HOUR,
        )
        cls.ann = cls.paper("Ann Birch")
        cls.bob = cls.paper("Bob Tarrant", phone="028 9649 6001")
        make_sign_up(station=make_station(gathering=cls.gathering), volunteer=cls.ann)
        make_turnout(
            gathering=cls.gathering,
            volunteer=cls.bob,
            arrived_at=NOW - HOUR,
            left_at=None,
        )

    @classmethod
    def paper(cls, name, **fields):
        fields = {"demonstration": cls.place, "user": None, "name": name} | fields
        return make_volunteer(**fields)

    def setUp(self):
        patch = self.enterContext(pytest.MonkeyPatch.context())
        patch.setattr("heritage.common.clock.now", lambda: NOW)

    def path(self, name):
        return reverse(f"gatherings:{name}", args=[self.place.slug, self.gathering.pk])

    def on_page(self, **asked):
        """Return the gathering's page as while it is on."""
        return self.client.get(self.gathering.get_absolute_url(), asked or {"here": 1})

    def by_lead(self):
        return {"gathering": self.gathering, "by": self.lead.user, "now": NOW}


class GateTests(Evening):
    def test_somebody_comes_goes_and_comes_again(self):
        services.arrive(volunteer=self.ann, **self.by_lead())
        row = services.depart(volunteer=self.ann, **self.by_lead())
        assert (row.arrived_at, row.left_at) == (NOW, NOW)
        later = self.by_lead() | {"now": NOW + HOUR}
        row = services.arrive(volunteer=self.ann, **later)
        assert (row.arrived_at, row.left_at) == (NOW, None)

    def test_the_first_time_somebody_went_stands(self):
        services.depart(volunteer=self.bob, **self.by_lead())
        later = self.by_lead() | {"now": NOW + HOUR}
        assert services.depart(volunteer=self.bob, **later).left_at == NOW

    def test_nobody_goes_who_has_not_come(self):
        with pytest.raises(ValidationError, match="marked as here yet"):
            services.depart(volunteer=self.ann, **self.by_lead())

    def test_the_gate_is_kept_from_two_hours_before_to_six_after(self):
        ends = self.gathering.ends_at
        for moment in (NOW - 3 * HOUR - HOUR / 60, ends + 6.1 * HOUR):
            with pytest.raises(ValidationError, match="The gate isn't open now"):
                services.arrive(
                    volunteer=self.ann, **(self.by_lead() | {"now": moment})
                )

    def test_the_list_says_the_hours_of_those_who_have_left(self):
        services.arrive(volunteer=self.ann, **self.by_lead())
        page = turnout_page(self.gathering, NOW)
        assert (page.hours, page.not_left) == (0, 2)
        later = self.by_lead() | {"now": NOW + 1.25 * HOUR}
        services.depart(volunteer=self.ann, **later)
        services.depart(volunteer=self.bob, **later)
        page = turnout_page(self.gathering, NOW)
        assert [str(row.hours) for row in page.rows] == ["1.2", "2.2"]
        assert (str(page.hours), page.not_left) == ("3.5", 0)

    def test_only_the_lead_keeps_it(self):
        other = make_volunteer(demonstration=self.place)
        with pytest.raises(ValidationError, match="Only the lead"):
            services.arrive(volunteer=self.ann, **(self.by_lead() | {"by": other.user}))

    def test_a_new_name_is_written_in_and_here(self):
        row = services.arrive_new(name="  Dora   Vale ", **self.by_lead())
        assert (row.volunteer.name, row.left_at) == ("Dora Vale", None)
        with pytest.raises(ValidationError, match="Enter a name"):
            services.arrive_new(name="  ", **self.by_lead())

    def test_a_name_is_not_written_in_twice(self):
        """A button pressed twice makes nobody for whom a head-count would search."""
        services.arrive_new(name="Dora Vale", **self.by_lead())
        with pytest.raises(ValidationError, match="on tonight's list already"):
            services.arrive_new(name="dora  VALE", **self.by_lead())
        self.paper("Vera Sloan")
        with pytest.raises(ValidationError, match="known already"):
            services.arrive_new(name="Vera Sloan", **self.by_lead())
        with pytest.raises(ValidationError, match="what tells them apart"):
            services.write_in(name="Vera Sloan", **self.by_lead())
        row = services.arrive_new(name="Vera Sloan, miller", **self.by_lead())
        assert row.volunteer.name == "Vera Sloan, miller"
        assert Volunteer.objects.filter(name__istartswith="Dora").count() == 1

    def test_a_child_comes_with_an_adult_who_is_here(self):
        child = {"name": "Tam Birch", "age_band": AgeBand.UNDER_13} | self.by_lead()
        with pytest.raises(ValidationError, match="Ann Birch is not here"):
            services.arrive_child(guardian=self.ann, **child)
        row = services.arrive_child(guardian=self.bob, **child)
        assert (row.volunteer.guardian, row.volunteer.age_band, row.left_at) == (
            self.bob,
            AgeBand.UNDER_13,
            None,
        )
        for wrong in ({"name": "Tam Birch"}, {"age_band": AgeBand.ADULT, "name": "X"}):
            with pytest.raises(ValidationError):
                services.arrive_child(guardian=self.bob, **(child | wrong))
        with pytest.raises(ValidationError, match="Choose an adult on the list"):
            services.arrive_child(guardian=row.volunteer, **(child | {"name": "Y"}))

    def test_a_child_is_written_in_on_the_page(self):
        self.client.force_login(self.lead.user)
        said = {
            "child-name": "Tam Birch",
            "child-age_band": "from_13",
            "child-guardian": self.ann.name,
        }
        answer = self.client.post(self.path("gate_child"), said)
        self.assertContains(answer, "Choose an adult who is here")
        self.assertContains(answer, 'value="Tam Birch"')
        said["child-guardian"] = self.bob.name
        answer = self.client.post(self.path("gate_child"), said, follow=True)
        self.assertContains(answer, "Tam Birch is here.")
        answer = self.client.post(self.path("gate_child"), said)
        self.assertContains(answer, "list already")
        assert Volunteer.objects.filter(name="Tam Birch").count() == 1

    def test_a_child_without_their_adult_is_asked_about_at_once(self):
        child = self.paper("Tam Tarrant", age_band=AgeBand.UNDER_13, guardian=self.bob)
        self.client.force_login(self.lead.user)
        words = "Tam Tarrant is here without their adult. Who is with them?"
        press = lambda what, who: self.client.post(  # noqa: E731
            self.path("pass_gate"), {what: "1", "volunteer": who.pk}, follow=True
        )
        self.assertNotContains(press("arrive", child), words)
        self.assertContains(press("depart", self.bob), words)
        self.assertContains(
            self.client.get(self.path("head_count")), "their adult is not here"
        )
        self.assertNotContains(press("depart", child), words)
        self.assertContains(press("arrive", child), words)
        self.assertNotContains(press("arrive", self.bob), words)

    def test_a_running_count_and_the_wait_stand_on_the_gathering_before_and_during(
        self,
    ):
        Gathering.objects.update(status="posted")
        page = self.gathering.get_absolute_url()
        pages = [f"{page}?here=1", page]
        self.client.force_login(self.lead.user)
        for page in pages:
            self.assertNotContains(self.client.get(page), "Everybody out, called")
        make_muster(gathering=self.gathering, called_at=NOW)
        for since, waits in ((29, True), (31, False)):
            self.gathering.thunder.all().delete()
            heard = NOW - timedelta(minutes=since)
            self.gathering.thunder.create(at=heard, by=self.lead.user)
            for page in pages:
                answer = self.client.get(page)
                self.assertContains(answer, "Everybody out, called at")
                held = b"Thunder: all work stopped until" in answer.content
                assert held == waits, page

    def test_the_page_says_who_stands_where_in_four_queries(self):
        gone = self.paper("Cara Moss")
        make_turnout(
            gathering=self.gathering, volunteer=gone, arrived_at=NOW - HOUR, left_at=NOW
        )
        for number in range(12):
            self.paper(f"Zed {number}")
        with self.assertNumQueries(4):
            page = gate_page(self.gathering, NOW)
        names = [
            [one.volunteer.name for one in part]
            for part in (page.expected, page.here, page.gone)
        ]
        assert names == [["Ann Birch"], ["Bob Tarrant"], ["Cara Moss"]]
        assert [(one.letter, len(one.people)) for one in page.others] == [
            ("O", 1),
            ("Z", 12),
        ]

    def test_a_walk_in_is_two_presses_away(self):
        """The letter is opened, the name pressed: that is all."""
        vera = self.paper("Vera Sloan")
        self.client.force_login(self.lead.user)
        page = self.on_page()
        self.assertContains(page, "<summary>V <small>1</small></summary>", html=True)
        answer = self.client.post(
            self.path("pass_gate"), {"volunteer": vera.pk, "arrive": "1"}, follow=True
        )
        self.assertContains(answer, "Vera Sloan is here.")
        assert Turnout.objects.get(volunteer=vera).left_at is None

    def test_an_ordinary_evening_is_ticked_off_on_its_own_page(self):
        Gathering.objects.update(status="posted")
        self.client.force_login(self.lead.user)
        for what, who, said in (
            ("arrive", self.ann, "Still to come"),
            ("depart", self.bob, "Gone home: 1"),
        ):
            press = {what: "1", "volunteer": who.pk}
            answer = self.client.post(self.path("pass_gate"), press, follow=True)
            self.assertRedirects(answer, self.gathering.get_absolute_url())
            shown = said.encode() in answer.content
            assert shown == (what == "depart"), said

    def test_before_the_first_has_come_one_press_shows_who_is_expected(self):
        Turnout.objects.all().delete()
        Gathering.objects.update(status="posted", starts_at=NOW + HOUR / 2)
        self.client.force_login(self.lead.user)
        page = self.client.get(self.gathering.get_absolute_url())
        self.assertContains(page, "?here=1")
        self.assertNotContains(page, "Still to come")
        self.assertContains(self.on_page(), "Still to come: 1")
        press = {"arrive": "1", "volunteer": self.ann.pk}
        answer = self.client.post(self.path("pass_gate"), press, follow=True)
        self.assertContains(answer, "Somebody turned up")
        assert answer.context["on"].named == {self.ann.pk}

    def test_a_volunteer_who_asks_is_shown_nobody(self):
        ann = make_volunteer(demonstration=self.place)
        Gathering.objects.update(status="posted")
        self.client.force_login(ann.user)
        page = self.on_page(wanted="bob")
        assert page.context["on"] is None
        self.assertNotContains(page, "Bob Tarrant")

    def test_the_old_address_leads_to_the_page(self):
        page = self.gathering.get_absolute_url()
        self.client.force_login(self.lead.user)
        for query, leads in (("", "here=1"), ("?wanted=bob", "wanted=bob")):
            answer = self.client.get(self.path("gate") + query)
            self.assertRedirects(answer, f"{page}?{leads}")
        self.client.force_login(make_volunteer(demonstration=self.place).user)
        assert self.client.get(self.path("gate")).status_code == 404

    def test_of_one_called_off_nobody_is_expected_and_who_stands_here_is_counted(self):
        Gathering.objects.update(status="called_off")
        self.client.force_login(self.lead.user)
        press = {"arrive": "1", "volunteer": self.ann.pk}
        answer = self.client.post(self.path("pass_gate"), press, follow=True)
        self.assertContains(answer, "Called off: nobody is expected.")
        assert len(answer.context["on"].people) == 2

    def test_each_name_stands_on_the_page_once(self):
        Gathering.objects.update(status="posted")
        gone = self.paper("Cara Moss")
        make_turnout(
            gathering=self.gathering, volunteer=gone, arrived_at=NOW - HOUR, left_at=NOW
        )
        self.client.force_login(self.lead.user)
        words = re.sub(
            r'<span class="visually-hidden">.*?</span>|<datalist.*?</datalist>',
            "",
            self.on_page().content.decode(),
            flags=re.DOTALL,
        )
        for who in (self.ann, self.bob, gone):
            assert words.count(who.name) == 1, who

    def test_a_new_name_that_is_missing_is_asked_for(self):
        self.client.force_login(self.lead.user)
        answer = self.client.post(self.path("gate"), {"name": ""})
        self.assertContains(answer, "Please fill this in.")
        answer = self.client.post(self.path("gate"), {"name": "Dora Vale"}, follow=True)
        self.assertContains(answer, "Dora Vale is here.")
        assert Volunteer.objects.filter(name="Dora Vale").count() == 1

    def test_somebody_of_another_demonstration_is_refused(self):
        stranger = make_volunteer()
        self.client.force_login(self.lead.user)
        for what in ("arrive", "depart"):
            said = {"volunteer": stranger.pk, what: "1"}
            answer = self.client.post(self.path("pass_gate"), said, follow=True)
            self.assertContains(answer, "Nobody with that name is on the list now")
        answer = self.client.post(
            self.path("pass_gate"),
            {"volunteer": self.ann.pk, "depart": "1"},
            follow=True,
        )
        self.assertContains(answer, "marked as here yet")


class HeadCountTests(Evening):
    def call_out(self, **more):
        return services.call_everybody_out(**(self.by_lead() | more))

    def test_calling_twice_is_calling_once(self):
        key = uuid.uuid4()
        first = self.call_out(why="Thunder", key=key)
        assert self.call_out() == first
        services.see(muster=first, volunteer=self.bob, by=self.lead.user, now=NOW)
        services.end_head_count(muster=first, by=self.lead.user, now=NOW)
        assert self.call_out(key=key) == first
        assert self.call_out() != first

    def test_there_is_nobody_to_count_next_day(self):
        with pytest.raises(ValidationError, match="nobody to count"):
            self.call_out(now=NOW + 24 * HOUR)

    def test_everybody_in_the_field_is_to_be_seen_and_nobody_else(self):
        gone = self.paper("Cara Moss")
        make_turnout(
            gathering=self.gathering, volunteer=gone, arrived_at=NOW - HOUR, left_at=NOW
        )
        muster = self.call_out()
        page = head_count(self.gathering, NOW)
        assert [one.volunteer for one in page.missing] == [self.bob]
        assert page.missing[0].contact == "028 9649 6001"
        assert page.missing[0].station == ""
        assert page.expected == 1
        services.see(muster=muster, volunteer=self.bob, by=self.lead.user, now=NOW)
        services.see(muster=muster, volunteer=self.bob, by=self.lead.user, now=NOW)
        page = head_count(self.gathering, NOW)
        assert (page.missing, len(page.safe)) == ([], 1)
        services.unsee(muster=muster, volunteer=self.bob, by=self.lead.user)
        assert len(head_count(self.gathering, NOW).missing) == 1

    def test_a_known_name_said_at_the_meeting_point_is_theirs(self):
        muster = self.call_out()
        said = {"muster": muster, "by": self.lead.user, "now": NOW}
        assert services.see_new(name="ann birch", **said).volunteer == self.ann
        assert services.see_new(name="Bob Tarrant", **said).volunteer == self.bob
        assert Turnout.objects.filter(volunteer=self.ann).exists()
        assert head_count(self.gathering, NOW).missing == []
        with pytest.raises(ValidationError, match="what tells them apart"):
            services.see_new(name="Bob Tarrant", **said)
        assert services.see_new(name="Bob Tarrant, joiner", **said)

    def test_it_says_where_each_was_to_work(self):
        """The first place to look for somebody who is missing."""
        services.arrive(volunteer=self.ann, **self.by_lead())
        self.call_out()
        where = {
            one.volunteer: one.station
            for one in head_count(self.gathering, NOW).missing
        }
        station = self.gathering.stations.get().title
        assert where == {self.ann: station, self.bob: ""}
        self.client.force_login(self.lead.user)
        self.assertContains(self.client.get(self.path("head_count")), f"{station}.")

    def test_somebody_on_no_list_is_written_in_and_safe(self):
        muster = self.call_out()
        services.see_new(muster=muster, name="Dora Vale", by=self.lead.user, now=NOW)
        page = head_count(self.gathering, NOW)
        assert [one.volunteer.name for one in page.safe] == ["Dora Vale"]
        with pytest.raises(ValidationError, match="Choose somebody on the list"):
            services.see(
                muster=muster, volunteer=make_volunteer(), by=self.lead.user, now=NOW
            )

    def test_a_child_on_no_list_is_written_in_as_one(self):
        """With the adult who stays with them, who need not be on the list."""
        muster = self.call_out()
        child = {"muster": muster, "name": "Bea Moss", "age_band": AgeBand.UNDER_13}
        said = child | {"by": self.lead.user, "now": NOW}
        with pytest.raises(ValidationError, match="Choose their guardian"):
            services.see_new(**said)
        safe = services.see_new(**said, guardian=self.lead)
        bea = safe.volunteer
        assert (bea.age_band, bea.guardian) == (AgeBand.UNDER_13, self.lead)
        assert bea in [one.volunteer for one in head_count(self.gathering, NOW).safe]

    def test_it_does_not_end_while_somebody_is_missing_without_words(self):
        muster = self.call_out()
        end = {"muster": muster, "by": self.lead.user, "now": NOW + HOUR}
        with pytest.raises(ValidationError, match="Not seen: Bob Tarrant"):
            services.end_head_count(**end)
        ended = services.end_head_count(**end, note="Bob is at home: he telephoned.")
        assert ended.closed_at == NOW + HOUR
        assert services.end_head_count(**end).note == ended.note
        with pytest.raises(ValidationError, match="has ended"):
            services.unsee(muster=ended, volunteer=self.bob, by=self.lead.user)

    def test_a_child_is_reached_through_whoever_answers_for_them(self):
        child = self.paper("Tam Birch", age_band=AgeBand.FROM_13, guardian=self.bob)
        lone = self.paper("Una Reid", emergency_name="Ned Reid", emergency_phone="1234")
        for person in (child, lone):
            make_turnout(
                gathering=self.gathering, volunteer=person, arrived_at=NOW, left_at=None
            )
        found = {
            one.volunteer: one.contact for one in head_count(self.gathering, NOW).people
        }
        assert found[child] == "028 9649 6001 (Bob Tarrant)"
        assert found[lone] == "1234 Ned Reid"

    def test_the_page_costs_the_same_however_many_there_are(self):
        muster = self.call_out()
        with self.assertNumQueries(7):
            head_count(self.gathering, NOW)
        for number in range(20):
            person = self.paper(f"Zed {number:02}")
            make_turnout(
                gathering=self.gathering, volunteer=person, arrived_at=NOW, left_at=None
            )
            make_safe(muster=muster, volunteer=person, seen_by=self.lead.user)
        with self.assertNumQueries(7):
            page = head_count(self.gathering, NOW)
        assert (len(page.safe), len(page.missing)) == (20, 1)

    def test_a_page_while_it_is_on_costs_the_same_for_two_people_and_for_thirty(self):
        self.client.force_login(self.lead.user)
        self.somebody_of_each(0)
        self.on_page()
        with CaptureQueriesContext(connection) as few:
            assert "Person 0" in self.on_page().content.decode()
        for number in range(1, 15):
            self.somebody_of_each(number)
        with self.assertNumQueries(len(few)):
            assert "Person 14" in self.on_page().content.decode()

    def somebody_of_each(self, number):
        """One who is here and pulls, with a child, and one who is still to come."""
        briefing = make_briefing(demonstration=self.place)
        make_briefing_version(briefing=briefing)
        station = make_station(gathering=self.gathering, places=9, briefing=briefing)
        here = self.paper(f"Person {number}")
        child = self.paper(f"Child {number}", guardian=here, age_band=AgeBand.FROM_13)
        for one in (here, child):
            make_sign_up(station=station, volunteer=one)
            make_turnout(
                gathering=self.gathering,
                volunteer=one,
                arrived_at=NOW - HOUR,
                left_at=None,
            )
            make_entry(gathering=self.gathering, volunteer=one)
        make_sign_up(station=station, volunteer=self.paper(f"Awaited {number}"))

    def test_the_database_holds_one_head_count_open(self):
        make_muster(gathering=self.gathering)
        with (
            pytest.raises(IntegrityError),
            transaction.atomic(),
        ):
            make_muster(gathering=self.gathering)
        muster = Muster.objects.open().get()
        with (
            pytest.raises(IntegrityError),
            transaction.atomic(),
        ):
            Muster.objects.filter(pk=muster.pk).update(closed_at=NOW - HOUR)


class HeadCountPageTests(Evening):
    def setUp(self):
        super().setUp()
        self.client.force_login(self.lead.user)

    def post(self, place, **data):
        return self.client.post(self.path(place), data, follow=True)

    def test_an_emergency_from_the_first_press_to_the_last(self):
        page = self.client.get(self.path("head_count"))
        self.assertContains(page, "in the field now")
        self.assertContains(page, "No meeting point yet")
        make_emergency_plan(
            demonstration=self.place, meeting_point="The old gate", number="999 or 112"
        )
        page = self.post("everybody_out", key=uuid.uuid4(), why="Thunder")
        self.assertContains(page, "The old gate")
        self.assertContains(page, "Called at 18:40")
        page = self.post("end_head_count", note="")
        self.assertContains(page, "How it ended</label>")
        self.assertContains(page, "Not seen: Bob Tarrant")
        page = self.post("seen", volunteer=self.bob.pk, seen="1")
        self.assertContains(page, "Bob Tarrant is safe.")
        page = self.post("seen", volunteer=self.bob.pk, unseen="1")
        self.assertContains(page, "looked for again")
        self.post("seen", volunteer=self.bob.pk, seen="1")
        self.assertContains(self.post("seen_new", name=""), "Please fill this in.")
        page = self.post("seen_new", name="Bea Moss", age_band="under_13")
        self.assertContains(page, "Choose their guardian")
        self.assertContains(page, 'value="Bea Moss"')
        page = self.post("seen_new", name="Dora Vale", age_band="adult")
        self.assertContains(page, "Everybody who was in the field has been seen.")
        page = self.post("end_head_count", note="")
        self.assertContains(page, "The head-count has ended.")
        assert Muster.objects.get().closed_by == self.lead.user

    def test_of_nobody_it_is_never_said_that_all_were_seen(self):
        Turnout.objects.all().delete()
        page = self.post("everybody_out", key=uuid.uuid4())
        self.assertContains(page, "Nobody was marked here when everybody was called")
        self.assertNotContains(page, "has been seen")

    def test_a_press_with_script_sends_the_list_alone(self):
        self.post("everybody_out", key=uuid.uuid4())
        answer = self.client.post(
            self.path("seen"),
            {"volunteer": self.bob.pk, "seen": "1"},
            headers={"HX-Request": "true"},
        )
        self.assertNotContains(answer, "<html")
        self.assertContains(answer, "has been seen")

    def test_what_is_no_key_is_asked_for_again_with_what_was_typed(self):
        page = self.post("everybody_out", key="x", why="Smoke in the stackyard")
        self.assertContains(page, "Smoke in the stackyard")
        assert not Muster.objects.exists()

    def test_with_no_head_count_there_is_nobody_to_tick(self):
        for name in ("seen", "seen_new", "end_head_count"):
            assert self.post(name).status_code == 404

    def test_an_organiser_may_and_a_volunteer_may_not(self):
        self.client.force_login(make_organiser(demonstration=self.place).user)
        assert self.client.get(self.path("head_count")).status_code == 200
        self.client.force_login(make_volunteer(demonstration=self.place).user)
        assert self.client.get(self.path("head_count")).status_code == 404


class FoundAtGateTests(Evening):
    def test_a_search_lists_whoever_has_the_name_and_one_press_writes_it_down(self):
        self.client.force_login(self.lead.user)
        known = self.paper("Dervla Moss")
        page = self.on_page(wanted="dervla")
        assert page.context["found"] == [(known, False)]
        services.arrive(volunteer=known, **self.by_lead())
        assert self.on_page(wanted="mos").context["found"] == [(known, True)]
        self.assertContains(self.on_page(wanted="qqq"), "Nobody on the list")

    def test_a_number_or_an_address_finds_nobody_at_the_gate(self):
        known = self.paper("Dervla Moss")
        known.phone, known.email = "028 555 0177", "dervla@example.org"
        known.save()
        page = gate_page(self.gathering, NOW)
        assert page.found("0177") == page.found("example") == page.found("  ") == []
