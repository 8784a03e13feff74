"""What is held of the treading: shown, forgotten, kept and merged."""

from datetime import UTC, datetime, timedelta

import pytest
from django.test import TestCase

from heritage.common import clock
from heritage.dam.models import Treader, TreaderState, Treading
from heritage.privacy.erasing import services
from heritage.privacy.erasing.selectors import erasing
from heritage.privacy.everything.selectors import tables
from heritage.privacy.keeping.selectors import BY_KEY, due_rows
from heritage.privacy.merging import services as merging_services
from heritage.privacy.merging.selectors import merging
from heritage.privacy.models import Erasure
from tests.factories import (
    NOW,
    make_dam,
    make_ret,
    make_rota_plan,
    make_treader,
    make_treading,
    make_volunteer,
)
from tests.privacy.world import make_home

DAY = timedelta(days=1)


@pytest.fixture(autouse=True)
def a_wednesday_evening(monkeypatch):
    monkeypatch.setattr(clock, "now", lambda: NOW)


class TreadingTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.home, cls.nora, cls.ann, _ned = make_home()
        cls.paper = make_volunteer(demonstration=cls.home, user=None, name="A. Rush")
        cls.plan = make_rota_plan(ret=make_ret(dam=make_dam(demonstration=cls.home)))
        cls.past, cls.next = (
            make_treading(plan=cls.plan, day=(NOW + days * DAY).date())
            for days in (-1, 1)
        )

    def test_the_tables_go_into_the_zip(self):
        make_treader(turn=self.next, volunteer=self.ann)
        found = {table.name: list(table.rows()) for table in tables(self.home)}
        assert len(found["dam-treader.csv"]) == 1
        assert len(found["dam-treading.csv"]) == 2
        assert len(found["dam-rotaplan.csv"]) == 1

    def test_what_was_not_trodden_goes_with_an_erasure(self):
        make_treader(turn=self.next, volunteer=self.ann, state=TreaderState.ON)
        trod = make_treader(turn=self.past, volunteer=self.ann, trod=True)
        _ned = self.ann.children.get()
        _ned.guardian = self.nora
        _ned.save()
        page = erasing(self.ann, NOW)
        assert ("treading turns they missed", 1) in page.goes
        assert "treading turns they came to" in [kept.what for kept in page.stays]
        row = services.ask_erasure(volunteer=self.ann, by=self.nora.user, now=NOW)
        services.carry_out_erasure(erasure=row, by=self.nora.user, now=NOW)
        assert Erasure.objects.get().carried_out_at
        assert [row.pk for row in Treader.objects.all()] == [trod.pk]

    def test_of_two_answers_the_one_that_counts_stays(self):
        make_treader(turn=self.next, volunteer=self.ann, state=TreaderState.CANNOT)
        make_treader(turn=self.next, volunteer=self.paper, state=TreaderState.ON)
        make_treader(turn=self.past, volunteer=self.paper, trod=True)
        make_treader(turn=self.past, volunteer=self.ann, state=TreaderState.ON)
        meets = merging(self.paper, self.ann).meets
        assert sum("Both answered for" in words for words in meets) == 2
        merging_services.merge(
            gone=self.paper, kept=self.ann, by=self.nora.user, now=NOW
        )
        rows = Treader.objects.order_by("turn__at", "pk")
        assert {row.volunteer_id for row in rows} == {self.ann.pk}
        assert [(row.state, row.trod) for row in rows] == [("can", True), ("on", None)]

    def test_two_who_trod_and_were_one_trod_alone(self):
        make_treader(turn=self.past, volunteer=self.paper, trod=True)
        make_treader(turn=self.past, volunteer=self.ann, trod=True)
        then = datetime(2026, 8, 11, 17, 10, tzinfo=UTC)
        make_treader(turn=self.past, trod=False, watches=True)
        Treading.objects.filter(pk=self.past.pk).update(
            trodden_at=then, recorded_at=NOW, recorded_by=self.ann.user
        )
        row = merging_services.merge(
            gone=self.paper, kept=self.ann, by=self.nora.user, now=NOW
        )
        assert any("trod alone after all" in words for words in row.settled)
        self.past.refresh_from_db()
        assert "two names on the list were one" in self.past.why_alone

    def test_one_who_trod_and_watched_on_two_lines_leaves_nobody_watching(self):
        make_treader(turn=self.past, volunteer=self.ann, trod=True)
        make_treader(turn=self.past, trod=True)
        make_treader(turn=self.past, volunteer=self.paper, trod=False, watches=True)
        Treading.objects.filter(pk=self.past.pk).update(
            trodden_at=NOW, recorded_at=NOW, recorded_by=self.ann.user
        )
        row = merging_services.merge(
            gone=self.paper, kept=self.ann, by=self.nora.user, now=NOW
        )
        assert any("nobody watched after all" in words for words in row.settled)

    def test_whoever_watched_stays_in_the_record(self):
        make_treader(turn=self.past, volunteer=self.paper, trod=False, watches=True)
        assert Treader.objects.who_came().count() == 1
        assert not Treader.objects.untrodden().exists()

    def test_offers_go_after_a_month_and_treadings_after_three_years(self):
        make_treader(turn=self.past, volunteer=self.ann)
        make_treader(turn=self.past, volunteer=self.paper, trod=True)

        def due(key, now):
            return sum(rows.count() for rows in due_rows(BY_KEY[key], self.home, now))

        assert due("places", NOW) == 0
        assert due("places", NOW + 40 * DAY) == 1
        assert due("attendance", NOW + 40 * DAY) == 0
        assert due("attendance", NOW + 1200 * DAY) == 1

    def test_who_wrote_a_treading_down_is_told_of_it(self):
        then = datetime(2026, 8, 11, 17, 10, tzinfo=UTC)
        for who in (self.ann, self.paper):
            make_treader(turn=self.past, volunteer=who, trod=True)
        make_treader(turn=self.past, trod=False, watches=True)
        Treading.objects.filter(pk=self.past.pk).update(
            trodden_at=then, recorded_at=NOW, recorded_by=self.ann.user, note="Sinks."
        )
        self.client.force_login(self.ann.user)
        slug = self.home.slug
        page = self.client.get(f"/at/{slug}/privacy/held/{self.ann.pk}/")
        assert "Sinks." in page.content.decode()
