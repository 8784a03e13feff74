"""Everything of one demonstration in one file: all tables, and nobody else's rows."""

import csv
import io
import zipfile
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal

import pytest
from django.core.exceptions import FieldError
from django.test import SimpleTestCase, TestCase
from django.urls import reverse

from heritage.common import clock
from heritage.people.invitations.services import invite
from heritage.people.models import Letter
from heritage.privacy.everything import selectors
from heritage.privacy.everything.selectors import cell
from heritage.privacy.held import sheets
from heritage.privacy.selectors import declared, home_path
from tests.factories import NOW, make_volunteer
from tests.people.world import make_world
from tests.responses import finish


@pytest.fixture(autouse=True)
def a_wednesday_evening(monkeypatch):
    monkeypatch.setattr(clock, "now", lambda: NOW)


class TableTests(SimpleTestCase):
    def test_every_table_of_ours_is_given_or_says_why_not(self):
        left = {
            model._meta.label
            for model, holds in declared()
            if model.__module__.startswith("heritage.")
            and bool(home_path(model)) == bool(holds.not_given)
        }
        assert left == set(), "Give its rows a `demonstration_path`, or say why not."
        kinds = {holds.apart for _model, holds in declared()}
        assert kinds == {"", "health", "incidents"}

    def test_values(self):
        later = timezone(timedelta(hours=1))
        moment = datetime(2026, 8, 12, 18, 40, tzinfo=later)
        expected = {
            None: "", True: "yes", False: "no", 7: 7, "x": "x",
            moment: "2026-08-12T17:40:00+00:00", date(2026, 8, 12): "2026-08-12",
            Decimal("1.50"): "1.50",
        }  # fmt: skip
        for value, written in expected.items():
            assert cell(value) == written
        assert cell(["é"]) == '["é"]'


class ArchiveTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.world, cls.elsewhere = make_world(), make_world()
        cls.home = cls.world.demonstration
        make_volunteer(demonstration=cls.home, user=None, name="=HYPERLINK(1)")

    def archive(self, **ticked):
        return zipfile.ZipFile(
            io.BytesIO(self.made(selectors.tables(self.home, **ticked)))
        )

    def made(self, tables):
        with sheets.everything(tables, self.home, NOW.astimezone(UTC)) as made:
            return made.read()

    def rows(self, archive, name):
        text = archive.read(name).decode("utf-8-sig")
        return list(csv.DictReader(io.StringIO(text)))

    def test_every_table_has_its_rows_and_only_those_of_here(self):
        archive = self.archive(health=True, incidents=True)
        assert archive.testzip() is None
        for table in selectors.tables(self.home, health=True, incidents=True):
            rows = self.rows(archive, table.name)
            elsewhere = {
                *table.model._default_manager.filter(
                    **{table.path: self.elsewhere.demonstration.pk}
                ).values_list("pk", flat=True)
            }
            with self.subTest(table=table.name):
                assert {int(row["id"]) for row in rows}.isdisjoint(elsewhere)
        assert len(self.rows(archive, "people-volunteer.csv")) > 4
        assert (
            self.rows(archive, "season-demonstration.csv")[0]["slug"] == self.home.slug
        )

    def test_a_test_of_a_ret_that_was_struck_is_given_as_struck(self):
        check = self.world.rows["check"]
        check.struck_at, check.struck_why = NOW, "wrong"
        check.save()
        (row,) = self.rows(self.archive(), "dam-check.csv")
        assert row["finding"] == check.finding
        assert row["struck_why"] == "wrong"
        assert row["struck_at"].startswith(f"{NOW:%Y-%m-%dT%H:%M}")

    def test_health_and_incidents_only_when_ticked(self):
        bare = set(self.archive().namelist())
        health = set(self.archive(health=True).namelist()) - bare
        incidents = set(self.archive(incidents=True).namelist()) - bare
        assert health == {"people-healthnote.csv"}
        assert "incidents-incident.csv" in incidents
        assert "incidents-witness.csv" in incidents
        assert "people-healthnote.csv" not in incidents

    def test_nothing_secret_and_no_formula(self):
        archive = self.archive(health=True, incidents=True)
        everything = b"".join(archive.read(name) for name in archive.namelist())
        for row in ("volunteer", "invitation", "complaint", "picture"):
            secret = self.world.rows[row]
            key = getattr(secret, "calendar_key", None) or secret.key
            assert key.encode() not in everything
        names = [row["name"] for row in self.rows(archive, "people-volunteer.csv")]
        assert "'=HYPERLINK(1)" in names

    def test_an_invitation_is_not_taken_up_from_its_letter(self):
        made = invite(
            demonstration=self.home,
            email="una@example.org",
            by=self.world.users["organiser"],
            now=NOW,
        )
        written = Letter.objects.of(self.home).get(address="una@example.org")
        assert made.key in written.text
        assert made.key not in self.archive().read("people-letter.csv").decode()

    def test_the_readme_says_what_each_column_is(self):
        archive = self.archive()
        text = archive.read("README.txt").decode()
        for table in selectors.tables(self.home):
            assert table.name in text
        assert "volunteer_id: " in text
        assert "the number of a row of Volunteer" in text

    def test_the_same_rows_make_the_same_file_a_query_for_each_table(self):
        tables = selectors.tables(self.home)
        with self.assertNumQueries(len(tables)):
            first = self.made(tables)
        assert self.made(tables) == first
        for _more in range(5):
            make_volunteer(demonstration=self.home, user=None)
        with self.assertNumQueries(len(tables)):
            assert self.made(tables) != first

    def test_a_table_that_cannot_be_read_leaves_no_file_open(self):
        [table, *_rest] = selectors.tables(self.home)
        with pytest.raises(FieldError):
            self.made([replace(table, path="nowhere")])


@pytest.mark.any_database
class PageTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.world = make_world()
        cls.page = reverse("privacy:everything", args=[cls.world.demonstration.slug])

    def test_the_organiser_saves_it(self):
        self.client.force_login(self.world.users["organiser"])
        assert "health notes too" in self.client.get(self.page).content.decode()
        answer = self.client.post(self.page, {"health": "on"})
        assert answer["Content-Type"] == "application/zip"
        assert "attachment" in answer["Content-Disposition"]
        assert "no-store" in answer["Cache-Control"]
        names = zipfile.ZipFile(io.BytesIO(finish(answer))).namelist()
        assert "people-healthnote.csv" in names
        assert "incidents-incident.csv" not in names

    def test_nobody_else_does(self):
        for name in ("volunteer", "lead"):
            self.client.force_login(self.world.users[name])
            assert self.client.post(self.page).status_code == 403
