"""What Today and the season board say of the growing crop."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.test import TestCase
from django.urls import reverse

from heritage.desk.today import selectors
from tests.factories import (
    make_demonstration,
    make_entry,
    make_gathering,
    make_observation,
    make_organiser,
    make_plot,
)

SOWN = date(2026, 4, 25)
LOOK, BANDS = "See whether the crop is ready to pull", "Cut rushes and make the bands"


class CropCase(TestCase):
    """Sown on 25 April: likely ready from 24 July to 28 August."""

    @classmethod
    def setUpTestData(cls):
        cls.here = make_demonstration()
        cls.nora = make_organiser(demonstration=cls.here)
        cls.plot = make_plot(demonstration=cls.here, sown_on=SOWN, expected_beets=600)

    def todos(self, month, day):
        now = datetime(2026, month, day, 12, tzinfo=UTC)
        found = selectors.today(self.here, self.nora.user, now).todos
        return {one.words: one for one in found if "/growing/" in one.url}


@pytest.mark.any_database
class TodayTests(CropCase):
    def test_without_a_day_it_asks_when_the_crop_was_sown(self):
        self.plot.sown_on = None
        self.plot.save()
        (todo,) = self.todos(6, 1).values()
        assert todo.words == "Say when the crop was sown"
        assert todo.url == reverse("growth:sow", args=[self.here.slug, self.plot.pk])

    def test_a_look_is_asked_for_now_and_then_while_it_grows(self):
        (todo,) = self.todos(6, 1).values()
        assert todo.words == "Look at the crop"
        assert todo.why == ("Likely ready 24 July to 28 August. Not looked at yet.")
        make_observation(plot=self.plot, seen_on=date(2026, 5, 20))
        assert not self.todos(6, 2)
        assert self.todos(6, 3)["Look at the crop"].why.endswith("looked at on 20 May.")

    def test_every_few_days_once_it_may_be_ready(self):
        make_observation(plot=self.plot, seen_on=date(2026, 7, 18))
        assert LOOK not in self.todos(7, 21)
        assert not self.todos(7, 22)[LOOK].is_due
        assert self.todos(7, 24)[LOOK].is_due

    def test_bands_are_asked_for_some_weeks_before(self):
        assert BANDS not in self.todos(6, 25)
        todo = self.todos(6, 26)[BANDS]
        assert todo.why == "About 660, in bundles of 60: 11, by 17 July."
        assert not todo.is_due
        assert self.todos(7, 17)[BANDS].is_due

    def test_evenings_are_due_and_a_perch_is_counted_once_the_harvest_nears(self):
        self.plot.expected_beets = None
        self.plot.save()
        for day, nears in ((2, False), (3, True)):
            now = datetime(2026, 7, day, 12, tzinfo=UTC)
            found = selectors.today(self.here, self.nora.user, now).todos
            due = {one.words: one.is_due for one in found}
            assert due["Post the next evening"] is nears
            assert ("Count one small patch" in due) is nears

    def test_once_beets_are_tied_nothing_more_is_asked(self):
        evening = make_gathering(demonstration=self.here)
        make_entry(gathering=evening, beets=12)
        assert not self.todos(7, 24)

    def test_nor_once_the_season_board_says_that_it_is_pulled(self):
        self.here.stage_records.create(stage="pulling", started_on=date(2026, 7, 20))
        assert not self.todos(7, 24)

    def test_nor_long_after_the_window(self):
        """It is not asked about a crop that nobody pulled, or nobody wrote down."""
        assert self.todos(9, 18)
        assert not self.todos(9, 19)

    def test_nor_without_a_plot(self):
        self.plot.delete()
        assert not self.todos(7, 24)


class BoardTests(CropCase):
    def board(self):
        self.client.force_login(self.nora.user)
        return self.client.get(reverse("desk:season", args=[self.here.slug]))

    def test_the_window_is_said_and_drawn(self):
        page = self.board()
        self.assertContains(page, "Likely ready to pull 24 July to 28 August.")
        self.assertContains(page, "pulling: forecast 24 Jul\N{EN DASH}28 Aug")
        self.assertContains(page, reverse("growth:growing", args=[self.here.slug]))
        self.assertNotContains(page, "No stage has a date yet")

    def test_flowers_that_were_seen_are_on_the_board(self):
        """Until every plot that flowered is over, or a plot is being pulled."""
        burn = make_plot(demonstration=self.here, sown_on=SOWN)
        for plot, day, flower in (
            (self.plot, 9, "start"), (self.plot, 19, "end"), (burn, 12, "full"),
        ):  # fmt: skip
            make_observation(plot=plot, seen_on=date(2026, 7, day), flower=flower)
        self.assertContains(self.board(), "9 Jul, going on")
        make_observation(plot=burn, seen_on=date(2026, 7, 22), bbch=69)
        self.assertContains(self.board(), "9 Jul to 22 Jul")

    def test_what_is_pulled_flowers_no_more(self):
        make_observation(plot=self.plot, seen_on=date(2026, 7, 9), flower="start")
        evening = make_gathering(demonstration=self.here, plot=self.plot)
        make_entry(gathering=evening, plot=self.plot, beets=12)
        (line,) = (
            line
            for line in self.board().context["page"].stages
            if line.stage == "flowering"
        )
        assert (line.state, line.done_words) == ("done", "9 Jul")

    def test_a_pulled_field_has_no_window(self):
        self.here.stage_records.create(
            stage="pulling", started_on=SOWN, finished_on=SOWN + timedelta(days=100)
        )
        page = self.board()
        self.assertNotContains(page, "Likely ready")
        self.assertNotContains(page, ": forecast")
