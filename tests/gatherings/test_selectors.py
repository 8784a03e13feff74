"""What pages read: in how many queries, and what they warn of."""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.contrib.auth.models import AnonymousUser
from django.db import connection
from django.test import TestCase
from django.test.utils import CaptureQueriesContext

from heritage.gatherings import selectors
from heritage.gatherings.gate import selectors as gate_selectors
from heritage.gatherings.ground import selectors as ground_selectors
from heritage.gatherings.models import Call, Gathering, SignUp, SignUpStatus
from heritage.people.letters import selectors as letters_selectors
from heritage.people.models import AgeBand, Volunteer
from tests.factories import (
    NOW,
    make_acknowledgement,
    make_briefing,
    make_briefing_version,
    make_demonstration,
    make_gathering,
    make_organiser,
    make_sign_up,
    make_station,
    make_turnout,
    make_volunteer,
)

LONDON = ZoneInfo("Europe/London")
SIZES = (3, 300)


def local(day, hour, minute=0):
    return datetime(2026, 8, day, hour, minute, tzinfo=LONDON)


@pytest.mark.any_database
class QueryTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration()
        cls.nora = make_organiser(demonstration=cls.demonstration)
        cls.evenings = {size: cls.evening(size) for size in SIZES}

    @classmethod
    def evening(cls, size):
        """Make an evening of two stations with that many signed up."""
        gathering = make_gathering(demonstration=cls.demonstration)
        briefing = make_briefing(demonstration=cls.demonstration)
        version = make_briefing_version(briefing=briefing)
        places = {"gathering": gathering, "places": size, "briefing": briefing}
        stations = [make_station(**places) for _ in range(2)]
        people = Volunteer.objects.bulk_create(
            Volunteer(
                demonstration=cls.demonstration,
                name=f"Volunteer {number:03}",
                joined_at=NOW,
            )
            for number in range(size)
        )
        SignUp.objects.bulk_create(
            SignUp(
                gathering=gathering,
                station=stations[number % 2],
                volunteer=person,
                status=SignUpStatus.WAITING if number % 3 else SignUpStatus.HELD,
                asked_at=NOW,
                changed_at=NOW,
            )
            for number, person in enumerate(people)
        )
        make_acknowledgement(
            version=version, volunteer=people[0], recorded_by=cls.nora.user
        )
        make_turnout(gathering=gathering, volunteer=people[0])
        return gathering

    def fresh(self, size):
        return Gathering.objects.for_page().get(pk=self.evenings[size].pk)

    def count(self, size, queries, act):
        row = self.fresh(size)
        with self.assertNumQueries(queries):
            act(row)

    def test_a_page_takes_as_many_queries_for_three_as_for_three_hundred(self):
        readers = ((None, False, 4), (self.nora, False, 6), (self.nora, True, 6))
        for size in SIZES:
            for reader, is_led, queries in readers:
                self.count(
                    size,
                    queries,
                    lambda row, who=reader, led=is_led: touch(
                        selectors.gathering_page(
                            row, now=NOW, volunteer=who, is_led=led
                        )
                    ),
                )

    def test_opening_the_page_costs_the_same_for_everybody_who_looks(self):
        readers = {
            "visitor": None,
            "volunteer": make_volunteer(demonstration=self.demonstration),
            "lead": make_volunteer(demonstration=self.demonstration),
            "organiser": self.nora,
        }
        for evening in self.evenings.values():
            evening.lead = readers["lead"]
            evening.save(update_fields=["lead"])
        for name, reader in readers.items():
            counts = {
                self.opened(evening, reader) for evening in self.evenings.values()
            }
            assert len(counts) == 1, (name, counts)

    def opened(self, evening, reader):
        """Return how many queries it takes to open an evening's page as somebody."""
        self.client.logout()
        if reader:
            self.client.force_login(reader.user)
        with CaptureQueriesContext(connection) as queries:
            assert self.client.get(evening.get_absolute_url()).status_code == 200
        return len(queries)

    def test_a_sheet_takes_three(self):
        for size in SIZES:
            self.count(size, 3, selectors.sign_in_sheet)

    def test_a_turnout_list_takes_three(self):
        for size in SIZES:
            self.count(size, 3, lambda row: gate_selectors.turnout_page(row, NOW))

    def test_a_list_takes_three_however_long(self):
        for limit in (1, 12):
            make_gathering(demonstration=self.demonstration)
            with self.assertNumQueries(3):
                selectors.next_gatherings(
                    self.demonstration, NOW, AnonymousUser(), limit
                )


def touch(page):
    """Read of a page what its template reads of everybody."""
    return [page.call, page.not_briefed, [one.contact for one in page.not_reached]]


class PageTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration()
        cls.gathering = make_gathering(demonstration=cls.demonstration)
        cls.station = make_station(gathering=cls.gathering, places=3)

    def sign_up(self, **fields):
        return make_sign_up(station=self.station, **fields)

    def page(self, **options):
        return selectors.gathering_page(self.gathering, now=NOW, **options)

    def test_places_the_queue_is_owed_are_not_free(self):
        self.sign_up()
        self.sign_up(status=SignUpStatus.WAITING)
        (view,) = self.page().stations
        assert (view.free, view.waiting[0].turn) == (1, 1)

    def test_a_list_never_says_full_where_a_free_place_went_past_whoever_waits(self):
        """Each change moves the queue up at once: who is left could not be given it."""
        self.sign_up()
        for _turn in range(3):
            self.sign_up(status=SignUpStatus.WAITING)
        (line,) = selectors.gathering_lines([self.gathering])
        assert (line.places, line.held, line.waiting, line.free) == (3, 1, 3, 2)
        assert not line.is_full
        for _place in range(2):
            self.sign_up()
        (line,) = selectors.gathering_lines([self.gathering])
        assert (line.held, line.waiting, line.free) == (3, 3, 0)
        assert line.is_full

    def test_the_newest_call_holds(self):
        by = make_organiser(demonstration=self.demonstration).user
        for decision, minutes in (("go", 0), ("hold", 5)):
            Call.objects.create(
                gathering=self.gathering,
                decision=decision,
                advice="go",
                made_at=NOW + timedelta(minutes=minutes),
                made_by=by,
            )
        assert self.page().call.decision == "hold"
        (line,) = selectors.gathering_lines([self.gathering])
        assert line.is_on_hold

    def test_a_child_is_reached_through_their_guardian(self):
        adult = make_volunteer(
            demonstration=self.demonstration, name="Ann Rush", phone="028 555"
        )
        child = make_volunteer(
            demonstration=self.demonstration,
            user=None,
            guardian=adult,
            age_band=AgeBand.FROM_13,
            name="Torin Rush",
        )
        self.sign_up(volunteer=child)
        (place,) = self.page().stations[0].held
        assert place.contact == "Ann Rush, 028 555"
        assert place.shown_name == "Torin"
        assert letters_selectors.address_of(child) == adult.email

    def test_somebody_on_paper_is_told_by_telephone(self):
        paper = make_volunteer(demonstration=self.demonstration, user=None)
        self.sign_up(volunteer=paper)
        assert [one.volunteer for one in self.page().not_reached] == [paper]
        (place,) = self.page().not_reached
        assert place.contact == ""

    def test_an_own_account_answers_where_no_address_was_written(self):
        person = make_volunteer(demonstration=self.demonstration, email="")
        assert letters_selectors.address_of(person) == person.user.email

    def test_age_is_said_once_by_whoever_asks_more(self):
        for kind, age, words in (
            ("pull", AgeBand.FROM_13, "Age 13 and over. A child works beside"),
            ("pull", AgeBand.UNDER_13, "Any age may do this."),
            ("pull", AgeBand.ADULT, "For adults."),
            ("stone", AgeBand.FROM_13, "Only adults lift"),
        ):
            station = make_station(gathering=self.gathering, kind=kind, least_age=age)
            view = next(v for v in self.page().stations if v.station == station)
            assert view.age_words.startswith(words)

    def test_the_usual_briefing_is_the_last_one_pullers_were_asked_for(self):
        assert ground_selectors.usual_briefing(self.demonstration) is None
        first = make_briefing(demonstration=self.demonstration)
        make_station(gathering=self.gathering, briefing=first)
        make_briefing(demonstration=self.demonstration)
        assert ground_selectors.usual_briefing(self.demonstration) == first
        other = make_demonstration()
        only = make_briefing(demonstration=other)
        assert ground_selectors.usual_briefing(other) == only


class LightTests(TestCase):
    """At Lintholm, 54.6 north, on 13 August the sun sets at 21:01 by the clock."""

    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration()

    def warnings(self, starts, ends, *kinds, **place):
        for name, value in place.items():
            setattr(self.demonstration, name, value)
        gathering = make_gathering(
            demonstration=self.demonstration, starts_at=starts, ends_at=ends
        )
        stations = [make_station(gathering=gathering, kind=kind) for kind in kinds]
        light = ground_selectors.light_of(gathering)
        return ground_selectors.light_warnings(light, gathering, stations)

    def test_an_evening_in_the_light_is_warned_of_nothing(self):
        assert self.warnings(local(13, 18, 30), local(13, 20, 30), "pull") == []

    def test_times_past_the_light_are_warned_of_with_the_reason(self):
        (words,) = self.warnings(local(13, 18, 30), local(13, 22), "pull")
        assert "run past the light. Stop at 21:28" in words
        assert "before dark" in words

    def test_machines_and_water_stop_by_sunset(self):
        (words,) = self.warnings(local(13, 18, 30), local(13, 21, 15), "tread", "pull")
        assert words.startswith("Stop by sunset, 21:01: ")

    def test_too_early_is_warned_of(self):
        (words,) = self.warnings(local(13, 4), local(13, 8), "pull")
        assert "begins before there is light enough" in words

    def test_the_polar_night_has_no_light_and_the_polar_day_no_end(self):
        winter = datetime(2026, 12, 21, 12, tzinfo=LONDON)
        (words,) = self.warnings(
            winter, winter + timedelta(hours=1), "pull", latitude=75
        )
        assert "no daylight" in words
        light = ground_selectors.light_of_day(self.demonstration, date(2026, 12, 21))
        assert light.words == "no daylight to work by"
        assert light.hours_left(winter, winter + timedelta(hours=2)) == 0
        summer = datetime(2026, 6, 21, 22, tzinfo=LONDON)
        assert self.warnings(summer, summer + timedelta(hours=2), "tread") == []
        light = ground_selectors.light_of_day(self.demonstration, date(2026, 6, 21))
        assert light.words == "light all night"
        assert light.hours_left(summer, summer + timedelta(hours=2)) == 2

    def test_the_small_hours_belong_to_the_evening_before(self):
        evening = ground_selectors.evening_of(local(14, 1), self.demonstration)
        assert evening == date(2026, 8, 13)

    def test_hours_left_count_only_what_is_lit(self):
        light = ground_selectors.light_of_day(self.demonstration, date(2026, 8, 13))
        assert 1.4 < light.hours_left(local(13, 20), local(13, 23)) < 1.5
        assert light.hours_left(local(13, 22), local(13, 23)) == 0
