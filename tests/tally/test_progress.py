"""What the ground may give, once pieces of it were measured."""

from decimal import Decimal

from django.test import TestCase

from heritage.tally.selectors import (
    BY_AREA,
    BY_COUNT,
    BY_NEIGHBOURS,
    BY_PIECES,
    field_progress,
)
from tests.factories import make_demonstration, make_entry, make_gathering, make_plot
from tests.tally.rows import make_measure


class ProgressTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration()
        cls.here = {"demonstration": cls.demonstration}
        cls.near = make_plot(name="Near", area_m2=Decimal(2000), **cls.here)
        cls.far = make_plot(name="Far", area_m2=Decimal(1000), **cls.here)
        cls.evening = make_gathering(plot=cls.near, **cls.here)
        make_entry(gathering=cls.evening, plot=cls.near, beets=100)

    def plots(self):
        progress = field_progress(self.demonstration)
        return {plot.name: plot for plot in progress.plots}

    def test_before_anything_is_measured_the_area_speaks(self):
        plots = self.plots()
        assert plots["Near"].basis == plots["Far"].basis == BY_AREA
        assert not field_progress(self.demonstration).stand.is_measured

    def test_beets_that_were_weighed_change_what_the_area_gives(self):
        """The default is 3 kg: the same straw is half as many beets again of 2 kg."""
        before = self.plots()["Far"].stand
        self.demonstration.weighed_beets = 10
        self.demonstration.weighed_kg = Decimal(20)
        after = self.plots()["Far"].stand
        assert (before.likely, after.likely) == (151, 227)

    def test_a_measured_piece_gives_its_plot_and_the_one_beside_their_stand(self):
        make_measure(gathering=self.evening, plot=self.near, area_m2=Decimal(500))
        near, far = self.plots()["Near"], self.plots()["Far"]
        assert (near.stand.likely, far.stand.likely) == (400, 200)
        assert (near.basis, far.basis) == (BY_PIECES, BY_NEIGHBOURS)
        assert near.stand.low < 400 < near.stand.high
        assert (near.low_percent, near.likely_percent, near.high_percent) == (
            round(100 * 100 / near.stand.high),
            25,
            round(100 * 100 / near.stand.low),
        )
        progress = field_progress(self.demonstration)
        assert (progress.stand.likely, progress.stand.is_measured) == (600, True)
        assert progress.area_m2 == 3000

    def test_the_newest_measure_holds_and_nothing_takes_it_back(self):
        for area in (500, 250):
            make_measure(gathering=self.evening, plot=self.near, area_m2=Decimal(area))
        assert self.plots()["Near"].stand.likely == 800
        make_measure(gathering=self.evening, plot=self.near, area_m2=Decimal(0))
        assert self.plots()["Near"].basis == BY_AREA

    def test_a_count_gives_way_to_a_measure_of_its_own_plot_alone(self):
        for plot in (self.near, self.far):
            plot.expected_beets = 90
            plot.save()
        make_measure(gathering=self.evening, plot=self.near, area_m2=Decimal(500))
        assert self.plots()["Near"].basis == BY_PIECES
        assert (self.plots()["Far"].basis, self.plots()["Far"].stand.high) == (
            BY_COUNT,
            90,
        )

    def test_ground_measured_before_its_beets_are_written_says_nothing(self):
        make_measure(gathering=self.evening, plot=self.far, area_m2=Decimal(500))
        assert self.plots()["Far"].basis == BY_AREA

    def test_a_plot_never_stands_for_less_than_was_pulled(self):
        make_entry(gathering=self.evening, plot=self.far, beets=900)
        assert self.plots()["Far"].stand.low == 900

    def test_progress_costs_two_queries_however_much_was_measured(self):
        for _ in range(3):
            evening = make_gathering(**self.here)
            make_entry(gathering=evening, plot=self.near, beets=50)
            make_measure(gathering=evening, plot=self.near, area_m2=Decimal(200))
        with self.assertNumQueries(2):
            progress = field_progress(self.demonstration)
        assert progress.stand.pieces == 6
        assert progress.beets == 250
