"""How full a station is in words and drawing, and a volunteer's own places."""

import re
from datetime import timedelta

import pytest
from django.test import TestCase

from heritage.gatherings import selectors
from heritage.gatherings.drawings import places_drawing, places_svg
from heritage.gatherings.ground.selectors import Filling
from heritage.gatherings.models import Gathering, Station
from heritage.gatherings.places import selectors as places_selectors
from heritage.gatherings.places.selectors import ordinal
from heritage.gatherings.rearranging import selectors as rearranging_selectors
from heritage.kits.drawing.marks import Line, Rect
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

HOUR = timedelta(hours=1)


@pytest.mark.parametrize(
    ("filling", "words", "mark"),
    [
        (Filling(8, 4, held=2), "2 more needed", "due"),
        (Filling(8, 4, held=5), "3 places left", "planned"),
        (Filling(1, 0, held=0), "1 place left", "planned"),
        (Filling(8, 4, held=8), "full", "full"),
        (Filling(8, 4, held=8, waiting=3), "full, 3 waiting", "full"),
        (Filling(2, 0, held=3), "1 more than its places", "due"),
        (
            Filling(8, 4, held=8, waiting=1, unanswered=2),
            "full, 1 waiting, 2 not answered yet",
            "full",
        ),
        (
            Filling(8, 4, held=3, unanswered=1),
            "one more needed, 1 not answered yet",
            "due",
        ),
    ],
)
def test_a_filling_says_what_it_lacks(filling, words, mark):
    assert filling.words == words
    assert filling.mark == mark


@pytest.mark.parametrize("held", [0, 3, 8, 9])
@pytest.mark.parametrize("waiting", [0, 3, 290])
def test_the_strip_stays_on_the_page_and_says_the_same(held, waiting):
    filling = Filling(8, 4, held=held, waiting=waiting, unanswered=min(held, 1))
    drawing = places_drawing("Places at Pull", filling)
    boxes = [mark for mark in drawing.marks if isinstance(mark, Rect)]
    assert all(box.x >= 0 and box.x + box.width <= 320.01 for box in boxes)
    assert len(boxes) == (4 if waiting else 3), "held, unanswered, places, waiting"
    assert any(isinstance(mark, Line) for mark in drawing.marks)
    assert "needs 4" in [getattr(mark, "text", "") for mark in drawing.marks]


def test_a_station_without_a_fewest_draws_no_line():
    drawing = places_drawing("Places", Filling(8, 0, held=8))
    assert not any(isinstance(mark, Line) for mark in drawing.marks)


def test_nothing_on_the_strip_is_told_by_colour_alone():
    """Held is plain, unanswered and waiting are each hatched in their own way."""
    station = Station(pk=7, title="Pull <b>", places=3)
    markup = places_svg(station, Filling(3, 2, held=2, waiting=2, unanswered=1))
    hatches = set(re.findall(r'class="[^"]*(d-\w+-hatch)', markup))
    assert hatches == {"d-band-hatch", "d-dusk-hatch"}
    assert "<b>" not in markup


@pytest.mark.parametrize(
    "words",
    ["1st", "2nd", "3rd", "4th", "11th", "12th", "13th", "21st", "102nd", "111th"],
)
def test_ranks_are_written_as_they_are_said(words):
    assert ordinal(int(words[:-2])) == words


class LineTests(TestCase):
    def test_a_line_names_each_station_that_is_short(self):
        gathering = make_gathering()
        pull = make_station(gathering=gathering, title="Pull", places=4, fewest=2)
        make_station(gathering=gathering, title="Tie", places=4)
        make_sign_up(station=pull, answer_by=NOW)
        (line,) = selectors.gathering_lines(Gathering.objects.for_page())
        (short,) = line.short
        assert short.station == pull
        assert short.filling.words == "one more needed, 1 not answered yet"


class MyPlacesTests(TestCase):
    """Ann, her child Torin, and an evening where both are entered."""

    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration()
        here = {"demonstration": cls.demonstration}
        cls.ann = make_volunteer(**here, name="Ann Rush")
        cls.torin = make_volunteer(
            **here,
            name="Torin Rush",
            user=None,
            guardian=cls.ann,
            age_band=AgeBand.FROM_13,
        )
        cls.gathering = make_gathering(**here)
        cls.pull = make_station(gathering=cls.gathering, places=1)
        for minute in range(2):
            make_sign_up(
                station=cls.pull,
                status="waiting",
                asked_at=NOW + timedelta(minutes=minute),
            )

    def enter(self, who, **fields):
        return make_sign_up(station=self.pull, volunteer=who, **fields)

    def read(self, now=NOW):
        return [
            (place.sign_up.volunteer, place.is_self, place.words, place.turn)
            for place in places_selectors.my_places(self.ann, now)
        ]

    def test_they_are_those_of_the_household_with_their_turns(self):
        self.enter(self.ann, answer_by=NOW + HOUR)
        self.enter(self.torin, status="waiting", asked_at=NOW + HOUR)
        assert self.read() == [
            (self.ann, True, "please answer", None),
            (self.torin, False, "3rd in the queue", 3),
        ]

    def test_asked_at_the_same_moment_the_first_written_is_first(self):
        self.enter(self.torin, status="waiting", asked_at=NOW)
        assert self.read() == [(self.torin, False, "2nd in the queue", 2)]

    def test_a_place_kept_is_said_to_be(self):
        self.enter(self.ann)
        assert self.read() == [(self.ann, True, "you have a place", None)]

    def test_what_is_over_or_given_up_is_left_out(self):
        self.enter(self.ann)
        self.enter(self.torin, status="given_up")
        assert len(self.read()) == 1
        assert self.read(self.gathering.ends_at) == []

    def test_it_takes_one_query_however_many(self):
        for count in (1, 8):
            for _ in range(count):
                evening = make_gathering(demonstration=self.demonstration)
                make_sign_up(
                    station=make_station(gathering=evening), volunteer=self.ann
                )
            with self.assertNumQueries(1):
                [place.sign_up.gathering.get_absolute_url() for place in self.places()]

    def places(self):
        return places_selectors.my_places(self.ann, NOW)


class PlacePageTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.gathering = make_gathering()
        cls.pull = make_station(gathering=cls.gathering, title="Pull", places=1)
        cls.tie = make_station(gathering=cls.gathering, title="Tie")
        cls.drive = make_station(
            gathering=cls.gathering, title="Drive", kind="drive", least_age="adult"
        )
        child = make_volunteer(
            demonstration=cls.gathering.demonstration,
            user=None,
            age_band=AgeBand.FROM_13,
            guardian=make_organiser(demonstration=cls.gathering.demonstration),
        )
        cls.entry = make_sign_up(station=cls.pull, volunteer=child)
        cls.entry.also.add(cls.tie)

    def read(self, key=None, now=NOW):
        return rearranging_selectors.place_page(
            self.gathering, key or self.entry.pk, now
        )

    def test_it_shows_where_they_could_go_and_where_not(self):
        found = {
            one.station: (one.is_wished, one.refusal is None, one.filling.free)
            for one in self.read().elsewhere
        }
        assert found == {self.tie: (True, True, 2), self.drive: (False, False, 2)}

    def test_who_waits_has_a_turn(self):
        turn = make_sign_up(station=self.pull, status="waiting")
        assert self.read(turn.pk).place.turn == 1

    def test_what_was_given_up_or_is_elsewhere_is_not_there(self):
        self.entry.status = "given_up"
        self.entry.save()
        assert self.read() is None
        assert self.read(make_sign_up().pk) is None

    def test_it_costs_the_same_for_many_as_for_few(self):
        for count in (0, 20):
            for _ in range(count):
                make_sign_up(station=self.tie)
            with self.assertNumQueries(3):
                self.read()

    def test_it_is_open_until_it_begins(self):
        assert self.read().is_open
        assert not self.read(now=self.gathering.starts_at).is_open
