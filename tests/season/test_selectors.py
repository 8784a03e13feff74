"""The season as pages show it."""

from datetime import date
from decimal import Decimal

from django.test import TestCase

from heritage.season import selectors, services
from heritage.season.drawings import season_drawing
from heritage.season.models import Stage
from tests.factories import NOW, make_demonstration, make_plot


class SeasonTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration()
        services.record_stage(
            demonstration=cls.demonstration,
            stage="pulling",
            planned_from=date(2026, 8, 3),
            started_on=date(2026, 8, 4),
        )
        services.record_stage(
            demonstration=cls.demonstration,
            stage="sowing",
            started_on=date(2026, 4, 18),
            finished_on=date(2026, 4, 19),
        )
        services.record_stage(
            demonstration=cls.demonstration,
            stage="lifting",
            planned_from=date(2026, 8, 16),
            planned_to=date(2026, 8, 18),
        )

    def test_each_stage_has_its_state(self):
        page = selectors.season(self.demonstration)
        states = {line.stage.value: line.state for line in page.stages}
        assert (states["sowing"], states["pulling"]) == ("done", "going")
        assert (states["lifting"], states["spinning"]) == ("planned", "")
        assert page.has_dates

    def test_the_plots_say_when_they_were_sown_if_nobody_wrote_it(self):
        def sowing(where):
            return next(iter(selectors.season(where).stages)).done

        make_plot(demonstration=self.demonstration, sown_on=date(2026, 4, 25))
        assert sowing(self.demonstration).first == date(2026, 4, 18)
        plot = make_plot(sown_on=date(2026, 4, 25))
        assert sowing(plot.demonstration).last == date(2026, 4, 25)
        make_plot(demonstration=plot.demonstration, sown_on=None)
        assert sowing(plot.demonstration).last is None

    def test_the_page_costs_two_queries(self):
        make_plot(demonstration=self.demonstration)
        with self.assertNumQueries(2):
            selectors.season(self.demonstration)

    def test_the_drawing_tells_what_is_done_and_what_is_planned(self):
        page = selectors.season(self.demonstration)
        drawn = season_drawing(page.stages, date(2026, 8, 12))
        assert "18 Apr" in drawn.description
        assert "16 Aug" in drawn.description

    def test_a_stage_that_goes_on_reaches_today(self):
        record = self.demonstration.stage_records.get(stage="pulling")
        line = selectors.StageLine(Stage.PULLING, record)
        assert line.done_span(date(2026, 8, 12)) == (
            date(2026, 8, 4),
            date(2026, 8, 12),
        )
        assert line.done_span(date(2026, 8, 1)) is None

    def test_what_was_seen_of_a_stage_goes_before_what_was_written(self):
        record = self.demonstration.stage_records.get(stage="pulling")
        seen = selectors.Followed(date(2026, 8, 5), None)
        line = selectors.StageLine(Stage.PULLING, record, seen)
        assert (line.state, line.done) == ("going", seen)

    def test_only_somebodys_word_ends_the_pulling(self):
        record = self.demonstration.stage_records.get(stage="pulling")
        record.finished_on = date(2026, 8, 20)
        seen = selectors.Followed(date(2026, 8, 5), None)
        line = selectors.StageLine(Stage.PULLING, record, seen)
        assert line.state == "done"
        assert line.done == selectors.Followed(date(2026, 8, 5), date(2026, 8, 20))

    def test_flowering_begins_when_first_seen_or_said_and_ends_by_somebodys_word(self):
        record = self.demonstration.stage_records.create(
            stage="flowering", started_on=date(2026, 7, 10)
        )
        seen = selectors.Followed(date(2026, 7, 8), None)
        line = selectors.StageLine(Stage.FLOWERING, record, seen)
        assert (line.state, line.done_words) == ("going", "8 Jul, going on")
        record.started_on, record.finished_on = date(2026, 7, 7), date(2026, 7, 21)
        assert (line.state, line.done_words) == ("done", "7 Jul to 21 Jul")

    def test_a_plot_is_told_in_old_measure_and_in_beets(self):
        plot = make_plot(demonstration=self.demonstration, area_m2=Decimal("4046.86"))
        line = selectors.plot_line(plot)
        assert "1" in line.acres_roods_perches
        assert line.stand.low < line.stand.likely < line.stand.high

    def test_the_light_there_is_the_places_own(self):
        light = selectors.light_there(
            latitude=Decimal("54.6"),
            longitude=Decimal("-6.4"),
            time_zone="Europe/London",
            skyline_deg=Decimal(0),
            now=NOW,
        )
        assert light.day == date(2026, 8, 12)
        assert light.sunset.hour == 21
        assert light.dusk > light.sunset
