"""The land over a gathering's page: the same figures as its sentence."""

from datetime import UTC, datetime, timedelta

from django.test import TestCase

from heritage.gatherings.ground.selectors import light_of
from heritage.gatherings.land.drawings import land_svg
from heritage.gatherings.land.selectors import land_of
from heritage.season.models import Stage
from tests.factories import (
    make_demonstration,
    make_entry,
    make_gathering,
    make_lot,
    make_plot,
)

# Sunset at Belfast on 12 August 2026 is 20:57 (BST), from memory of its almanac.
NOW = datetime(2026, 8, 12, 18, 0, tzinfo=UTC)


class LandTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.home = make_demonstration(beets_per_stook=12)
        cls.plot = make_plot(demonstration=cls.home, expected_beets=100)
        cls.evening = make_gathering(
            demonstration=cls.home,
            stage=Stage.PULLING,
            starts_at=NOW - timedelta(minutes=15),
            ends_at=NOW + timedelta(hours=2),
        )

    def land(self, now=NOW):
        return land_of(self.evening, light_of(self.evening), now)

    def test_it_says_and_draws_what_is_pulled_and_every_full_stook(self):
        make_entry(gathering=self.evening, plot=self.plot, beets=25)
        make_lot(gathering=self.evening, plot=self.plot)
        land = self.land()
        assert land.field.words == "About a quarter is pulled. 2 stooks in the field."
        svg = land_svg(land)
        assert land.words in svg
        assert 'class="land-edge" x1="75.0%"' in svg
        assert svg.count("#land-stook") == 2

    def test_only_on_its_own_day_has_it_a_sun_and_something_left(self):
        assert self.land().now is not None
        ahead = land_svg(self.land(NOW - timedelta(days=3)))
        assert ("land-sun" in ahead, "land-left" in ahead) == (False, True)
        assert "start " in ahead

    def test_a_day_that_is_past_has_none(self):
        assert self.land(NOW + timedelta(days=1)) is None

    def test_work_indoors_and_a_field_nobody_measured_have_none(self):
        self.plot.delete()
        assert self.land() is None
        assert land_svg(None) == ""
        self.evening.stage = Stage.HACKLING
        make_plot(demonstration=self.home, expected_beets=100)
        assert self.land() is None
