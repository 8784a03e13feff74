"""My part: the next evening first, my beets, and where they are now."""

from datetime import timedelta
from unittest import mock

from django.test import TestCase
from django.urls import reverse

from heritage.common import clock
from heritage.desk.mine.selectors import my_part
from tests.factories import (
    NOW,
    make_demonstration,
    make_entry,
    make_gathering,
    make_move,
    make_pulled_lot,
    make_sign_up,
    make_station,
    make_volunteer,
)

WEEK = timedelta(days=7)


class MyPartTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.home = make_demonstration()
        cls.ann = make_volunteer(demonstration=cls.home, name="Ann Rush")
        cls.evening = make_gathering(
            demonstration=cls.home, starts_at=NOW - WEEK, ends_at=NOW - WEEK / 2
        )
        cls.lot = make_pulled_lot(
            demonstration=cls.home, gathering=cls.evening, beets=40
        )
        make_entry(gathering=cls.evening, volunteer=cls.ann, beets=14)

    def open(self):
        self.client.force_login(self.ann.user)
        self.enterContext(mock.patch.object(clock, "now", return_value=NOW))
        return self.client.get(reverse("people:me", args=[self.home.slug]))

    def into_dam(self):
        return make_move(
            lot=self.lot, source="stook", target="dam", beets=54, at=NOW - 6 * WEEK / 7
        )

    def test_the_next_evening_leads(self):
        self.assertContains(self.open(), "You have no place at an evening to come.")
        soon = make_gathering(demonstration=self.home, title="Second pull")
        make_sign_up(
            station=make_station(gathering=soon, title="Tie"), volunteer=self.ann
        )
        page = self.open()
        self.assertContains(page, "Your next evening:")
        self.assertContains(page, "Thursday 13 August, 18:30, Second pull, Tie.")

    def test_my_beets_stand_by_themselves_and_say_where_they_are(self):
        self.into_dam()
        part = my_part(self.ann, NOW)
        assert part.beets == 14
        (pull,) = part.pulls
        assert pull.where == ("54 beets in the dam, day 7",)
        page = self.open()
        self.assertContains(page, "<strong>14</strong>")
        self.assertContains(page, "in the dam, day 7")

    def test_somebody_who_pulled_nothing_is_told_kindly(self):
        new = make_volunteer(demonstration=self.home)
        assert my_part(new, NOW).pulls == []
        self.ann = new
        self.assertContains(self.open(), "None yet.")

    def test_it_takes_as_many_queries_for_many_evenings(self):
        for weeks in (0, 3):
            for number in range(weeks):
                at = NOW - (number + 2) * WEEK
                evening = make_gathering(
                    demonstration=self.home, starts_at=at, ends_at=at + WEEK / 50
                )
                make_pulled_lot(demonstration=self.home, gathering=evening)
                make_entry(gathering=evening, volunteer=self.ann, beets=3)
            with self.assertNumQueries(10):
                my_part(self.ann, NOW)
