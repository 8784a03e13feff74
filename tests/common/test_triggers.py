"""A sealed table is added to and read, and nothing else, whoever asks."""

import pytest
from django.apps import apps
from django.core.management import call_command
from django.db import IntegrityError, connection, models, transaction
from django.db.migrations import AlterField
from django.db.migrations.state import ProjectState
from django.test import TestCase, TransactionTestCase

from heritage.common.backup_rows import rows_of
from heritage.common.triggers import (
    KeepRules,
    OnlyAddedTo,
    WithRulesAside,
    seal,
    sealed,
    unseal,
    unsealed,
)
from heritage.tally.models import Entry
from tests.factories import make_entry

BOOK = {
    "briefings_briefingversion",
    "briefings_hazardchange",
    "lots_move",
    "machines_machinecheck",
    "tally_answer",
    "tally_entry",
    "tally_ownlog",
    "tally_pulledarea",
    "tally_work",
}


class SealTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.entry = make_entry(beets=5)

    def refused(self, statement):
        with (
            pytest.raises(IntegrityError, match="only ever added to"),
            transaction.atomic(),
            connection.cursor() as cursor,
        ):
            cursor.execute(statement)

    def test_no_row_is_changed(self):
        self.refused("UPDATE tally_entry SET beets = 6")
        self.entry.refresh_from_db()
        assert self.entry.beets == 5

    def test_no_row_is_removed(self):
        self.refused("DELETE FROM tally_entry")
        assert Entry.objects.count() == 1

    def test_nor_by_way_of_the_models(self):
        self.entry.beets = 6
        for change in (self.entry.save, self.entry.delete):
            with (
                pytest.raises(IntegrityError, match="only ever added to"),
                transaction.atomic(),
            ):
                change()

    def test_rows_may_be_added(self):
        assert make_entry(gathering=self.entry.gathering).pk

    def test_the_book_is_sealed_and_nothing_else(self):
        assert set(sealed(connection)) == BOOK

    def test_a_seal_put_on_twice_is_one_seal(self):
        seal(connection, "tally_entry")
        assert set(sealed(connection)) == BOOK
        self.refused("DELETE FROM tally_entry")

    def test_an_open_table_takes_changes_until_it_is_sealed_again(self):
        unseal(connection, "tally_entry")
        assert Entry.objects.update(beets=6) == 1
        seal(connection, "tally_entry")
        self.refused("UPDATE tally_entry SET beets = 7")

    def test_what_was_open_for_a_moment_is_sealed_again_even_if_that_fails(self):
        found = []

        def fail_half_way():
            with unsealed(connection):
                found.extend(sealed(connection))
                raise RuntimeError("half-way")

        with pytest.raises(RuntimeError, match="half-way"):
            fail_half_way()
        assert found == []
        assert set(sealed(connection)) == BOOK

    def test_the_operation_goes_both_ways(self):
        operation, state = KeepRules([OnlyAddedTo("season_plot")]), ProjectState()
        operation.state_forwards("season", state)
        editor = connection.schema_editor(atomic=False)
        operation.database_forwards("season", editor, state, state)
        assert "season_plot" in sealed(connection)
        operation.database_backwards("season", editor, state, state)
        assert "season_plot" not in sealed(connection)
        assert operation.describe() == "Let season_plot only be added to"


class AlterTests(TransactionTestCase):
    """A later migration alters people, whom rules elsewhere read, and the book."""

    CHANGES = {
        "people": AlterField("volunteer", "name", models.CharField(max_length=121)),
        "tally": AlterField("entry", "beets", models.SmallIntegerField()),
    }

    def test_a_table_is_altered_and_its_rows_and_rules_stand_as_before(self):
        entry, rules = make_entry(beets=5), rows_of(connection).triggers()
        was = ProjectState.from_apps(apps)
        for app, change in self.CHANGES.items():
            operation, now = WithRulesAside([change]), was.clone()
            operation.state_forwards(app, now)
            steps = (
                (operation.database_forwards, was, now),
                (operation.database_backwards, now, was),
            )
            for step, before, after in steps:
                with connection.schema_editor() as editor:
                    step(app, editor, before, after)
                assert rows_of(connection).triggers() == rules
        with pytest.raises(IntegrityError, match="only ever added to"):
            Entry.objects.update(beets=6)
        entry.refresh_from_db()
        assert entry.beets == 5


class FlushTests(TransactionTestCase):
    def test_a_flush_in_tests_empties_the_book_and_leaves_it_sealed(self):
        make_entry()
        call_command("flush", interactive=False, verbosity=0)
        assert not Entry.objects.exists()
        assert set(sealed(connection)) == BOOK

    def test_nobody_empties_the_book_at_a_stroke(self):
        make_entry()
        whole = {"postgresql": "TRUNCATE tally_entry CASCADE"}
        statement = whole.get(connection.vendor, "DELETE FROM tally_entry")
        with (
            pytest.raises(IntegrityError, match="only ever added to"),
            connection.cursor() as cursor,
        ):
            cursor.execute(statement)
