"""The season's report: every figure against rows counted by hand."""

import io
from datetime import timedelta
from decimal import Decimal

from django.test import TestCase
from django.urls import reverse
from pypdf import PdfReader

from heritage.desk.report.selectors import report
from tests.factories import (
    NOW,
    make_demonstration,
    make_entry,
    make_gathering,
    make_organiser,
    make_picture,
    make_plot,
    make_turnout,
    make_volunteer,
)

HOUR = timedelta(hours=1)
# Turnout, tally, gatherings, plots, the fibre account, the season and pictures.
QUERIES = 28


class ReportTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.here = make_demonstration()
        cls.organiser = make_organiser(demonstration=cls.here)
        make_plot(demonstration=cls.here, area_m2=Decimal("4046.86"))
        cls.ann, cls.hugh = (make_volunteer(demonstration=cls.here) for _ in range(2))
        cls.first, cls.second = (
            make_gathering(demonstration=cls.here, starts_at=at, ends_at=at + 2 * HOUR)
            for at in (NOW, NOW + timedelta(days=2))
        )
        # Two hours, then an hour and a half; one is still there.
        for evening, person, stay in (
            (cls.first, cls.ann, 2 * HOUR),
            (cls.first, cls.hugh, 1.5 * HOUR),
            (cls.second, cls.ann, None),
        ):
            at = evening.starts_at
            make_turnout(
                gathering=evening,
                volunteer=person,
                arrived_at=at,
                left_at=at + stay if stay else None,
            )
        for evening, person, beets in (
            (cls.first, cls.ann, 40),
            (cls.first, cls.hugh, 20),
            (cls.second, cls.ann, 1000),
        ):
            make_entry(gathering=evening, volunteer=person, beets=beets)
        make_picture(demonstration=cls.here)
        make_picture(demonstration=cls.here, is_published=False)

    def figures(self):
        return {one.what: one for one in report(self.here).figures}

    def test_each_figure_is_the_sum_of_its_rows(self):
        page = report(self.here)
        said = {what: one.value for what, one in self.figures().items()}
        assert said["Evenings and days of work"] == "2"
        assert said["People who came"] == "2"
        assert said["Hours given"] == "3.5"
        assert said["Beets pulled"] == "1,060"
        assert said["Land under the crop"] == "0.40 ha"
        assert said["Pictures"] == "2, 1 of them shown"
        rows = [(row.people, row.hours, row.beets) for row in page.evenings]
        assert rows == [(2, Decimal("3.5"), 60), (1, 0, 1000)]
        assert page.lead == "2 people gave 3.5 hours and pulled 1,060 beets."

    def test_what_is_not_counted_is_said(self):
        figures = self.figures()
        assert figures["Visitors"].value == ""
        assert "nobody counted" in figures["Visitors"].source
        assert "1 stay without a time of leaving" in figures["Hours given"].source
        assert not any("fibre" in what for what in figures)

    def test_visitors_are_added_up_where_somebody_counted(self):
        for evening, came in ((self.first, 40), (self.second, 0)):
            evening.visitors = came
            evening.save()
        visitors = self.figures()["Visitors"]
        assert visitors.value == "40"
        assert "at 2 gatherings" in visitors.source

    def test_it_costs_the_same_for_few_and_for_many(self):
        with self.assertNumQueries(QUERIES):
            report(self.here)
        for _ in range(4):
            make_turnout(
                gathering=make_gathering(demonstration=self.here),
                volunteer=make_volunteer(demonstration=self.here),
                arrived_at=NOW,
            )
        with self.assertNumQueries(QUERIES):
            report(self.here)

    def test_the_page_leads_to_each_source_and_the_paper_names_nobody(self):
        self.client.force_login(self.organiser.user)
        url = reverse("desk:report", args=[self.here.slug])
        page = self.client.get(url)
        for figure in self.figures().values():
            self.assertContains(page, f'href="{figure.url}"')
        sheet = self.client.get(reverse("desk:report_sheet", args=[self.here.slug]))
        pages = PdfReader(io.BytesIO(sheet.content)).pages
        text = " ".join(" ".join(one.extract_text().split()) for one in pages)
        assert "1,060" in text
        assert "Added up from" in text
        assert self.ann.name not in text

    def test_nothing_yet(self):
        page = report(make_demonstration())
        assert page.lead.startswith("Nobody has come")
