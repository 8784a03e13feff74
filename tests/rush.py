"""Many at once: threads that meet in the database as the site's processes do."""

import sqlite3
import tempfile
import threading
from contextlib import closing
from pathlib import Path
from unittest import mock

from django.db import connection, connections
from django.test import TransactionTestCase


class RushCase(TransactionTestCase):
    """Makes rows in `make`, then lets threads at them with `together`."""

    def setUp(self):
        self.errors = []
        self.make()
        if connection.vendor == "sqlite" and connection.is_in_memory_db():
            self.use_a_file()

    def make(self):
        """Make the rows that the threads meet over."""
        raise NotImplementedError

    def use_a_file(self):
        """Let other threads meet in a file, as the site's own processes do.

        SQLite in memory locks whole tables at once and waits for nobody.
        """
        folder = tempfile.TemporaryDirectory()
        self.addCleanup(folder.cleanup)
        path = Path(folder.name) / "rush.sqlite3"
        with closing(sqlite3.connect(path)) as file:
            connection.connection.backup(file)
            file.execute("PRAGMA journal_mode=WAL")
        settings = connection.settings_dict | {"NAME": str(path)}
        patched = mock.patch.dict(connections.settings, default=settings)
        patched.start()
        self.addCleanup(patched.stop)

    def together(self, act, count):
        """Do something in many threads, all from the same moment."""
        start = threading.Barrier(count)

        def one(number):
            try:
                start.wait(60)
                act(number)
            except Exception as error:
                self.errors.append(error)
            finally:
                connections.close_all()

        threads = [threading.Thread(target=one, args=[n]) for n in range(count)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert self.errors == []

    def rows_of(self, queryset):
        """Read what stands in the file, which this thread does not look into."""
        found = []
        self.together(lambda _: found.extend(queryset), 1)
        return found
