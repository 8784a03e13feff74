"""What the growing page says: when to pull, from what, and how sure."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.test import TestCase

from heritage.calc.crop import PullAnchor, PullWarning, SowingNote
from heritage.growth import selectors
from heritage.growth.drawings import window_drawing
from heritage.growth.models import Flower
from heritage.growth.words import ANCHOR_WORDS, PULL_WORDS, SOWING_WORDS
from tests.factories import (
    NOW,
    make_demonstration,
    make_entry,
    make_gathering,
    make_observation,
    make_organiser,
    make_plot,
    make_sowing,
    make_volunteer,
    make_warm_day,
)

SOWN = date(2026, 4, 25)
TODAY = date(2026, 8, 12)


@pytest.mark.parametrize(
    ("codes", "words"),
    [(SowingNote, SOWING_WORDS), (PullAnchor, ANCHOR_WORDS), (PullWarning, PULL_WORDS)],
)
def test_every_code_has_its_words(codes, words):
    assert set(words) == set(codes)


class GrowingCase(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.here = make_demonstration()
        cls.plot = make_plot(demonstration=cls.here, sown_on=SOWN, name="Low field")

    def page(self):
        return selectors.growing_page(self.here, NOW)

    def one(self):
        return self.page().plots[0]

    def see(self, day, plot=None, **fields):
        return make_observation(plot=plot or self.plot, seen_on=day, **fields)


class SentenceTests(GrowingCase):
    def test_the_window_is_one_sentence(self):
        """Sown on 25 April: 100 days are 3 August, 90 to 125 24 July to 28 August."""
        assert self.page().lead == (
            "It may be ready now: likely about 3 August, between 24 July and 28 "
            "August. Look at the stems every few days."
        )

    def test_before_and_after_it_says_so(self):
        estimate = self.one().estimate
        words = selectors.when_words(estimate, date(2026, 7, 1))
        assert words.startswith("Likely ready to pull about 3 August, between 24 July")
        words = selectors.when_words(estimate, date(2026, 8, 29))
        assert words.startswith("It was likely ready by 28 August. Look at")

    def test_without_a_day_it_asks_for_one(self):
        self.plot.sown_on = None
        self.plot.save()
        page = self.page()
        assert page.lead.startswith("Say when a plot was sown")
        assert page.plots[0].when.startswith("No estimate yet")
        assert (page.plots[0].sources, page.plots[0].contradictions) == ((), [])
        assert page.plots[0].sown_words == "The day of sowing isn't known yet."
        assert page.bands_by is None
        assert page.plots[0].remarks == []
        assert window_drawing(page.plots[0]) is None
        assert selectors.pulling_window(self.here) is None

    def test_the_first_plot_that_opens_leads(self):
        early = make_plot(demonstration=self.here, sown_on=SOWN - timedelta(days=20))
        assert self.page().lead == (
            f"Likely ready to pull between 4 July and 28 August, {early} first."
        )
        window = selectors.pulling_window(self.here)
        assert window.first == SOWN + timedelta(days=70)
        assert window.last == SOWN + timedelta(days=125)
        assert selectors.pulling_window(self.here, early).last < window.last

    def test_once_it_is_pulled_the_page_says_that(self):
        record = self.here.stage_records.create(
            stage="pulling", started_on=date(2026, 8, 8)
        )
        assert self.page().lead == "Pulling began on 8 August."
        assert not self.page().is_over
        record.finished_on = date(2026, 8, 11)
        record.save()
        assert self.page().lead == "Pulled by 11 August."
        assert self.page().is_over

    def test_of_a_plot_that_is_pulled_it_says_what_the_tally_has(self):
        other = make_plot(demonstration=self.here, sown_on=SOWN)
        ago = NOW - timedelta(days=9)
        evening = make_gathering(demonstration=self.here, starts_at=ago)
        make_entry(gathering=evening, plot=self.plot, beets=12)
        page = self.page()
        assert page.lead == "12 beets are pulled, the last on 3 August."
        whens = {one.plot: one.when for one in page.plots}
        assert whens[self.plot] == page.lead
        assert "ready" in whens[other]

    def test_how_it_was_sown_is_said_as_far_as_it_is_known(self):
        assert self.one().sown_words == "Sown on 25 April."
        make_sowing(plot=self.plot, kg_per_ha=Decimal("112.5"), way="fiddle")
        words = (
            "Sown on 25 April, Blue Lint, 112.5 kg of seed a hectare, with a fiddle."
        )
        assert self.one().sown_words == words


class SignsTests(GrowingCase):
    def test_the_first_day_of_each_phase_counts_and_the_last_look_at_stems(self):
        self.see(date(2026, 7, 3), flower=Flower.START)
        self.see(date(2026, 7, 5), flower=Flower.START, height_cm=88)
        self.see(date(2026, 7, 10), bbch=65)
        self.see(date(2026, 7, 18), flower=Flower.END)
        self.see(date(2026, 7, 25), stems_yellow=20, leaves_fallen=30)
        self.see(date(2026, 8, 1), stems_yellow=45, bolls_green=8, bolls_brown=2)
        sources = self.one().sources
        assert [line.words for line in sources] == [
            "days since sowing",
            "first flowers",
            "full flower",
            "flowers over",
            "yellow stems",
            "fallen leaves",
            "colour of bolls",
        ]
        assert abs(sum(line.percent for line in sources) - 100) <= 3
        window = selectors.pulling_window(self.here)
        assert (window.last - window.first).days <= 12
        assert window.seen_on == date(2026, 8, 1)
        assert window.words == "1 August to 8 August"

    def test_the_season_board_says_when_it_flowered_where_nobody_saw_the_plot(self):
        self.here.stage_records.create(
            stage="flowering",
            started_on=date(2026, 7, 4),
            finished_on=date(2026, 7, 15),
        )
        words = [line.words for line in self.one().sources]
        assert words == ["days since sowing", "first flowers", "flowers over"]
        assert self.one().sources[1].best == date(2026, 8, 3)
        self.see(date(2026, 7, 6), flower=Flower.START)
        assert self.one().sources[1].best == date(2026, 8, 5)

    def test_no_flowers_and_other_stages_say_nothing_of_the_day(self):
        self.see(date(2026, 6, 20), flower=Flower.NONE)
        self.see(date(2026, 6, 21), bbch=39)
        assert len(self.one().sources) == 1

    def test_warmth_counts_where_it_is_known(self):
        for number in range(60):
            day = SOWN + timedelta(days=number)
            make_warm_day(demonstration=self.here, day=day)
        one = self.one()
        assert [line.words for line in one.sources] == [
            "days since sowing",
            "warmth since sowing",
        ]
        assert one.remarks == [
            "For 35 days to come, we assume it stays as warm as the last fortnight."
        ]
        page = self.page()
        assert page.warm_days == 60
        assert page.warm_until == SOWN + timedelta(days=59)

    def test_signs_that_contradict_each_other_are_said(self):
        self.see(date(2026, 6, 10), flower=Flower.END)
        self.see(TODAY, stems_yellow=0)
        (green, apart) = self.one().contradictions[-2:]
        assert green.startswith("The stems were still green")
        assert "Go and look: the crop decides." in apart

    def test_the_drawing_tells_the_same(self):
        told = window_drawing(self.one())
        assert told.title == "When to pull: Low field"
        assert "likeliest 3 Aug, by each sign 24 Jul" in told.description
        assert "all together 24 Jul" in told.description
        assert "done" not in told.description

    def test_bands_are_wanted_a_week_before(self):
        self.plot.expected_beets = 600
        self.plot.save()
        page = self.page()
        assert (page.bands.bands, page.bands.bundles) == (660, 11)
        assert (page.least, page.most) == (600, 600)
        assert page.bands_by == date(2026, 7, 17)


class SeenTests(GrowingCase):
    def test_an_observation_says_each_thing_it_says(self):
        row = self.see(
            TODAY,
            flower=Flower.FULL,
            bbch=65,
            height_cm=90,
            frame_m2=Decimal("0.1"),
            counts=[165, 170, 175],
            stems_yellow=0,
            leaves_fallen=10,
            bolls_green=20,
            lodged=5,
            weeds="few",
            note="dry",
        )
        assert selectors.seen_line(row).says == (
            "in full flower",
            "90 cm tall",
            "about 1700 plants a square metre (1430 to 2020)",
            "stems yellow 0 % of the way up",
            "leaves off 10 % of the way up",
            "bolls: 20 green, 0 yellow, 0 brown",
            "5 % lying flat",
            "weeds: some, up to 20 in a square metre",
        )
        assert selectors.seen_line(row).words.endswith("in a square metre. Dry")
        assert selectors.seen_line(self.see(TODAY, lodged=0)).words == "all upright"
        row = self.see(TODAY, flower=Flower.START, bbch=39)
        assert selectors.seen_line(row).words == (
            "first flowers open; as tall as it gets"
        )
        row = self.see(TODAY, height_cm=33, bbch=33, note="Rain.")
        assert selectors.seen_line(row).words == "33 cm tall. Rain"

    def test_only_the_last_few_stand_on_the_page(self):
        for number in range(5):
            self.see(TODAY - timedelta(days=number), height_cm=60 + number)
        one = self.one()
        assert [line.words for line in one.seen] == [
            "60 cm tall",
            "61 cm tall",
            "62 cm tall",
        ]

    def test_what_lay_flat_when_somebody_last_looked(self):
        assert selectors.lodged_percent(None, self.here, TODAY) is None
        self.see(TODAY - timedelta(days=14), lodged=90)
        assert selectors.lodged_percent(None, self.here, TODAY) is None
        self.see(TODAY - timedelta(days=3), lodged=20)
        other = make_plot(demonstration=self.here)
        self.see(TODAY, plot=other, lodged=50)
        assert selectors.lodged_percent(self.plot, self.here, TODAY) == 20
        assert selectors.lodged_percent(None, self.here, TODAY) == 50


class SowingPageTests(GrowingCase):
    def test_the_rate_stands_beside_the_published_ones(self):
        make_sowing(plot=self.plot, thousand_seed_g=5, kg_per_ha=150, depth_cm=4)
        page = selectors.sowing_page(selectors.Plot.objects.get(pk=self.plot.pk))
        assert page.seeds_m2 == 3000
        assert round(page.usual_kg_ha.likely) == 94
        assert [words.split(":")[0] for words in page.notes] == ["Thick", "Deep"]

    def test_what_is_not_known_is_not_reckoned(self):
        page = selectors.sowing_page(self.plot)
        assert (page.sowing, page.seeds_m2, page.notes) == (None, None, ())
        make_sowing(plot=self.plot, kg_per_ha=None)
        page = selectors.sowing_page(selectors.Plot.objects.get(pk=self.plot.pk))
        assert page.seeds_m2 is None

    def test_south_of_the_line_no_weeks_are_known(self):
        south = make_demonstration(latitude=Decimal("-43.5"))
        plot = make_plot(demonstration=south, sown_on=date(2026, 10, 31))
        assert selectors.note_words(plot, None) == ()


class WindowTests(GrowingCase):
    def test_a_day_outside_the_window_is_said(self):
        window = selectors.pulling_window(self.here)
        outside = selectors.outside_window
        assert outside(window, TODAY) == outside(None, TODAY) == ""
        assert outside(window, date(2026, 7, 1)) == (
            "1 July is before the crop is likely ready to pull (24 July to 28 August)."
        )
        assert outside(window, date(2026, 9, 1)).startswith("1 September is after")


class WriterTests(GrowingCase):
    def test_organisers_and_leads_write(self):
        lead, other = (make_volunteer(demonstration=self.here) for _n in range(2))
        make_gathering(demonstration=self.here, lead=lead)
        nora = make_organiser(demonstration=self.here)
        may = [selectors.may_write(p.user, self.here) for p in (nora, lead, other)]
        assert may == [True, True, False]


class QueryTests(GrowingCase):
    def test_the_same_queries_for_a_small_season_and_a_large_one(self):
        self.see(TODAY)
        with self.assertNumQueries(5):
            self.page()
        for number in range(12):
            plot = make_plot(demonstration=self.here, sown_on=SOWN)
            make_sowing(plot=plot)
            self.see(TODAY, plot=plot)
            make_warm_day(demonstration=self.here, day=SOWN + timedelta(days=number))
        with self.assertNumQueries(5):
            self.page()
        with self.assertNumQueries(4):
            selectors.pulling_window(self.here)
