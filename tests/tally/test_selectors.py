"""What the tally book comes to."""

from datetime import timedelta
from decimal import Decimal

from django.test import TestCase

from heritage.people.models import AgeBand
from heritage.tally import selectors
from heritage.tally.statements import selectors as statements_selectors
from tests.factories import (
    NOW,
    make_demonstration,
    make_entry,
    make_gathering,
    make_plot,
    make_sign_up,
    make_station,
    make_turnout,
    make_volunteer,
)


class BoardTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration(
            beets_per_stook=12, token_rate_farthings=48
        )
        cls.gathering = make_gathering(demonstration=cls.demonstration)
        cls.ann = make_volunteer(demonstration=cls.demonstration, name="Ann Frew")
        cls.bob = make_volunteer(demonstration=cls.demonstration, name="Bob Orr")
        make_entry(gathering=cls.gathering, volunteer=cls.ann, beets=20)
        make_entry(gathering=cls.gathering, volunteer=cls.ann, beets=5)
        make_entry(gathering=cls.gathering, volunteer=cls.bob, beets=30)
        make_entry(beets=99)
        make_turnout(
            gathering=cls.gathering,
            volunteer=cls.ann,
            left_at=cls.gathering.starts_at + timedelta(minutes=90),
        )

    def test_the_most_beets_come_first_and_strangers_not_at_all(self):
        lines = selectors.board(self.demonstration).people
        assert [(line.shown_name, line.beets) for line in lines] == [
            ("Bob Orr", 30),
            ("Ann Frew", 25),
        ]

    def test_stooks_hours_and_pay_by_person(self):
        ann = selectors.board(self.demonstration).people[1]
        assert (ann.settled.stooks, ann.settled.beets_over) == (2, 1)
        assert ann.hours == Decimal("1.5")
        assert (ann.pay.old, ann.pay.new) == ("2s", "£0.10")

    def test_the_field_is_reckoned_with_its_range(self):
        make_plot(demonstration=self.demonstration, area_m2=Decimal("4046.86"))
        progress = selectors.field_progress(self.demonstration)
        assert (progress.stand.low, progress.stand.high) == (360, 1200)
        assert (progress.low_percent, progress.high_percent) == (5, 15)
        assert progress.likely_percent == 9
        assert (progress.stooks, progress.beets_over) == (4, 7)

    def test_a_counted_stand_has_no_range(self):
        make_plot(demonstration=self.demonstration, expected_beets=110)
        progress = selectors.field_progress(self.demonstration)
        assert progress.stand.is_measured
        assert progress.low_percent == progress.high_percent == 50

    def test_a_field_without_plots_has_no_share(self):
        progress = selectors.field_progress(self.demonstration)
        assert not progress.has_stand
        assert progress.likely_percent == 0

    def test_a_child_is_shown_by_first_name(self):
        child = make_volunteer(
            demonstration=self.demonstration,
            name="Cara Frew",
            user=None,
            age_band=AgeBand.FROM_13,
            guardian=self.ann,
        )
        make_entry(gathering=self.gathering, volunteer=child, beets=99)
        assert selectors.board(self.demonstration).people[0].shown_name == "Cara"

    def test_evenings_are_in_order_of_their_day(self):
        early = make_gathering(
            demonstration=self.demonstration,
            starts_at=NOW - timedelta(days=9),
            ends_at=NOW - timedelta(days=9) + timedelta(hours=2),
        )
        make_entry(gathering=early, volunteer=self.bob, beets=3)
        lines = selectors.evenings(self.demonstration)
        assert [(line.beets, line.people) for line in lines] == [(3, 1), (55, 2)]

    def test_the_board_costs_the_same_however_many_there_are(self):
        with self.assertNumQueries(11):
            selectors.board(self.demonstration)
        for _ in range(10):
            other = make_volunteer(demonstration=self.demonstration)
            make_entry(
                gathering=make_gathering(demonstration=self.demonstration),
                volunteer=other,
            )
        with self.assertNumQueries(11):
            page = selectors.board(self.demonstration)
            assert len(page.people) == 12

    def test_a_statement_lists_each_gathering(self):
        page = statements_selectors.statement(self.ann)
        assert [(line.beets, line.hours) for line in page.lines] == [
            (25, Decimal("1.5"))
        ]
        assert (page.beets, page.hours, page.pay.old) == (25, Decimal("1.5"), "2s")

    def test_a_statement_costs_five_queries(self):
        with self.assertNumQueries(5):
            statements_selectors.statement(self.ann)

    def test_an_evenings_page_knows_who_came_and_who_was_expected(self):
        station = make_station(gathering=self.gathering)
        expected = make_sign_up(station=station).volunteer
        book = selectors.evening_book(self.gathering)
        rows = {row.volunteer: (row.is_here, row.beets) for row in book.rows}
        assert rows == {
            self.ann: (True, 25),
            self.bob: (False, 30),
            expected: (False, 0),
        }
        assert book.beets == 55


class TotalsTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.gathering = make_gathering()
        cls.demonstration = cls.gathering.demonstration
        for beets in (5, 20):
            person = make_volunteer(demonstration=cls.demonstration)
            make_entry(gathering=cls.gathering, volunteer=person, beets=beets)
            make_turnout(gathering=cls.gathering, volunteer=person)
        cls.only_came = make_turnout(gathering=cls.gathering).volunteer
        make_volunteer(demonstration=cls.demonstration, name="Never came")

    def test_the_page_says_what_each_statement_says(self):
        pages = statements_selectors.statements(self.demonstration)
        rows = statements_selectors.totals(self.demonstration)
        assert len(rows) == 3
        for page, row in zip(pages, rows, strict=True):
            assert page.volunteer == row.volunteer
            assert (page.beets, page.hours) == (row.beets, row.hours)
            assert (page.settled, page.pay) == (row.settled, row.pay)

    def test_the_page_costs_the_same_however_many_there_are(self):
        with self.assertNumQueries(5):
            statements_selectors.totals(self.demonstration)
        for _ in range(5):
            make_entry(gathering=self.gathering)
        with self.assertNumQueries(5):
            assert len(statements_selectors.totals(self.demonstration)) == 8
