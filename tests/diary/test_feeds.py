"""The calendars: what they hold, whom they name, and what asking again costs."""

from django.test import TestCase
from django.urls import reverse

from heritage.gatherings.models import GatheringStatus, SignUpStatus
from heritage.people.services import renew_calendar_key
from tests.factories import (
    NOW,
    make_dam,
    make_demonstration,
    make_gathering,
    make_ret,
    make_rota_plan,
    make_sign_up,
    make_station,
    make_treader,
    make_treading,
    make_volunteer,
)
from tests.kits.strict_ical import read


class FeedCase(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration(name="Flax at Lintholm")
        here = {"demonstration": cls.demonstration}
        cls.lead = make_volunteer(**here, name="Liam Orr")
        cls.first, cls.second = (
            make_gathering(**here, title=title, lead=cls.lead, bring="Gloves")
            for title in ("First evening", "Second evening")
        )
        cls.draft = make_gathering(
            **here, title="Perhaps", status=GatheringStatus.DRAFT
        )
        cls.elsewhere = make_gathering(title="Elsewhere")
        cls.ann = make_volunteer(**here, name="Ann Rush")
        cls.bob = make_volunteer(**here, name="Bob Carr")
        station = make_station(gathering=cls.first)
        for person in (cls.ann, cls.bob):
            make_sign_up(station=station, volunteer=person)
        cls.turn = make_sign_up(
            station=make_station(gathering=cls.second),
            volunteer=cls.bob,
            status=SignUpStatus.WAITING,
        )

    def public(self, **headers):
        url = reverse("diary:public", args=[self.demonstration.slug])
        return self.client.get(url, headers=headers)

    def private(self, person, **headers):
        slug = person.demonstration.slug
        url = reverse("diary:private", args=[slug, person.calendar_key])
        return self.client.get(url, headers=headers)

    def titles(self, response):
        events = read(response.content).named("VEVENT")
        return [event["SUMMARY"].text.split(",")[0] for event in events]

    def call_off(self, gathering):
        gathering.status = GatheringStatus.CALLED_OFF
        gathering.sequence += 1
        gathering.save()


class PublicTests(FeedCase):
    def test_it_holds_what_is_posted_and_no_draft(self):
        response = self.public()
        assert response["Content-Type"] == "text/calendar; charset=utf-8"
        assert sorted(self.titles(response)) == ["First evening", "Second evening"]

    def test_an_entry_says_when_where_what_to_bring_and_the_light(self):
        (event, _) = read(self.public().content).named("VEVENT")
        assert event["DTSTART"].value == "20260813T183000"
        assert event["DTSTART"].params["TZID"] == "Europe/London"
        assert event["LOCATION"].text == "The gate on the lane, Lintholm"
        assert "Bring: Gloves" in event["DESCRIPTION"].text
        assert "sunset 21:01, stop at 21:28" in event["DESCRIPTION"].text
        assert event["URL"].value.startswith("http")

    def test_what_is_called_off_stays_cancelled_under_a_higher_sequence(self):
        self.call_off(self.first)
        events = {
            event["UID"].value: event
            for event in read(self.public().content).named("VEVENT")
        }
        event = events[self.first.uid]
        assert event["STATUS"].value == "CANCELLED"
        assert event["SEQUENCE"].value == "1"
        assert events[self.second.uid]["STATUS"].value == "CONFIRMED"

    def test_nobody_is_named(self):
        words = self.public().content.decode()
        for person in (self.ann, self.bob, self.lead):
            assert person.name not in words
            assert person.email not in words
        assert "ATTENDEE" not in words
        assert "METHOD" not in words

    def test_the_same_rows_give_the_same_bytes(self):
        assert self.public().content == self.public().content

    def test_asked_again_unchanged_it_answers_304(self):
        tag = self.public()["ETag"]
        again = self.public(if_none_match=tag)
        assert (again.status_code, again.content) == (304, b"")
        self.call_off(self.first)
        assert self.public(if_none_match=tag).status_code == 200

    def test_an_empty_calendar_is_one_all_the_same(self):
        empty = make_demonstration()
        url = reverse("diary:public", args=[empty.slug])
        assert self.titles(self.client.get(url)) == []

    def test_a_closed_demonstration_shows_no_calendar(self):
        self.demonstration.is_public = False
        self.demonstration.save()
        assert self.public().status_code in (302, 404)

    def test_the_calendar_takes_one_query_for_its_entries(self):
        sizes = []
        for more in (0, 12):
            for _ in range(more):
                make_gathering(demonstration=self.demonstration)
            with self.assertNumQueries(2):
                sizes.append(len(self.titles(self.public())))
        assert sizes == [2, 14]


class PrivateTests(FeedCase):
    def test_it_holds_where_somebody_has_a_place_or_a_turn(self):
        assert self.titles(self.private(self.ann)) == ["First evening"]
        both = ["First evening", "Second evening"]
        assert sorted(self.titles(self.private(self.bob))) == both

    def test_what_was_given_up_is_gone(self):
        self.turn.status = SignUpStatus.GIVEN_UP
        self.turn.save()
        assert self.titles(self.private(self.bob)) == ["First evening"]

    def test_what_is_called_off_stays_cancelled(self):
        self.call_off(self.first)
        (event,) = read(self.private(self.ann).content).named("VEVENT")
        assert event["STATUS"].value == "CANCELLED"

    def test_nobody_else_is_named(self):
        words = self.private(self.ann).content.decode()
        assert "Bob Carr" not in words
        assert "ATTENDEE" not in words

    def test_it_opens_where_the_demonstration_is_closed(self):
        self.demonstration.is_public = False
        self.demonstration.save()
        assert self.titles(self.private(self.ann)) == ["First evening"]

    def test_a_renewed_key_closes_the_old_address(self):
        old = reverse(
            "diary:private", args=[self.demonstration.slug, self.ann.calendar_key]
        )
        renew_calendar_key(volunteer=self.ann)
        assert self.client.get(old).status_code == 404
        self.ann.refresh_from_db()
        assert self.private(self.ann).status_code == 200

    def test_another_places_address_does_not_open_with_the_key(self):
        slug = make_demonstration().slug
        url = reverse("diary:private", args=[slug, self.ann.calendar_key])
        assert self.client.get(url).status_code == 404

    def test_who_has_left_has_no_calendar(self):
        self.ann.left_at = NOW
        self.ann.save()
        assert self.private(self.ann).status_code == 404

    def test_it_is_kept_from_others_and_from_search(self):
        response = self.private(self.ann)
        assert response["Cache-Control"] == "private, max-age=0"
        assert response["X-Robots-Tag"] == "noindex"

    def test_asked_again_unchanged_it_answers_304(self):
        tag = self.private(self.ann)["ETag"]
        assert self.private(self.ann, if_none_match=tag).status_code == 304


class SubscribeTests(FeedCase):
    def page(self, person=None):
        if person:
            self.client.force_login(person.user)
        url = reverse("diary:subscribe", args=[self.demonstration.slug])
        return self.client.get(url)

    def test_a_visitor_gets_the_public_address_alone(self):
        response = self.page()
        self.assertContains(response, 'href="webcal:')
        self.assertContains(response, "gatherings.ics")
        self.assertNotContains(response, "Yours alone")

    def test_a_volunteer_gets_their_own_address_and_no_other(self):
        response = self.page(self.ann)
        self.assertContains(response, self.ann.calendar_key)
        self.assertNotContains(response, self.bob.calendar_key)
        assert "no-store" in response["Cache-Control"]

    def test_the_addresses_open(self):
        response = self.page(self.ann)
        addresses = [response.context["public"], *response.context["private"]]
        for address in addresses:
            path = "/" + address["copy"].split("/", 3)[3]
            assert self.client.get(path).status_code == 200


class TreadingFeedTests(FeedCase):
    def test_ones_own_turns_at_the_dam_stand_in_ones_own_calendar_alone(self):
        ret = make_ret(dam=make_dam(demonstration=self.demonstration, name="Low dam"))
        plan = make_rota_plan(ret=ret)
        turn = make_treading(plan=plan)
        make_treader(turn=turn, volunteer=self.ann, state="on")
        make_treader(turn=turn, volunteer=self.bob)
        assert "Treading: Low dam" not in self.titles(self.private(self.ann))
        plan.taken_at = NOW
        plan.save()
        assert "Treading: Low dam" in self.titles(self.private(self.ann))
        assert "Treading: Low dam" not in self.titles(self.private(self.bob))
        assert "Treading: Low dam" not in self.titles(self.public())
        assert self.bob.name not in self.private(self.ann).content.decode()
        turn.treaders.filter(volunteer=self.ann).update(watches=True)
        assert "Watching the treading: Low dam" in self.titles(self.private(self.ann))
        turn.dropped_at = NOW
        turn.save()
        assert "Treading: Low dam" not in self.titles(self.private(self.ann))
