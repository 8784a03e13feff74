"""Everybody's statements and thank-yous: few at once, many put together beside."""

from unittest import mock

import pytest
from django.core.files.storage import default_storage
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from heritage.common.making import State
from heritage.printing.models import Printing
from heritage.printing.services import AT_ONCE
from heritage.tally.statements import services, views
from tests.factories import make_entry, make_turnout, make_volunteer
from tests.tally.test_views import SHEETS, TallyPages


@pytest.mark.any_database
class EverybodysTests(TallyPages):
    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        cls.more_people(2)

    @classmethod
    def more_people(cls, number):
        for _ in range(number):
            volunteer = make_volunteer(demonstration=cls.demonstration)
            make_turnout(gathering=cls.gathering, volunteer=volunteer)

    def many(self, name, **query):
        """Ask where more than one is many, as often as somebody reloads the page."""
        with (
            mock.patch.object(views, "AT_ONCE", 1),
            self.captureOnCommitCallbacks(execute=True),
        ):
            return self.get(self.organiser, name, **query)

    def test_so_few_are_printed_at_once_and_nothing_is_kept(self):
        assert len(services.selectors.statements(self.demonstration)) <= AT_ONCE
        for name in SHEETS:
            assert self.get(self.organiser, name).content.startswith(b"%PDF")
        assert not Printing.objects.exists()

    def test_many_are_the_same_bytes_made_once_and_kept(self):
        for name in SHEETS:
            for query in ({}, {"large": "1"}):
                at_once = self.get(self.organiser, name, **query).content
                assert self.many(name, **query).content == at_once
                assert self.many(name, **query).content == at_once
        rows = Printing.objects.order_by("pk").values_list("name", "done", "total")
        assert list(rows) == [
            ("statements", 4, 4),
            ("statements-large", 4, 4),
            ("thank-you", 4, 4),
            ("thank-you-large", 4, 4),
        ]

    def test_it_tells_how_far_it_is_and_who_waits_is_told(self):
        with mock.patch.object(type(services.make_everybodys), "enqueue"):
            self.many("statements_sheet")
        told = []
        row = Printing.objects.get()
        update = type(Printing.objects.all()).update

        def watched(rows, **fields):
            told.append(fields.get("done"))
            return update(rows, **fields)

        with mock.patch.object(type(Printing.objects.all()), "update", watched):
            services.make_everybodys.func(row.pk)
        assert told == [None, 1, 2, 3, 4]
        Printing.objects.update(state=State.MAKING, done=3)
        page = self.many("statements_sheet")
        self.assertContains(page, "We're putting it together: 3 of 4 pages.")

    def test_nobody_else_reads_what_an_organiser_had_made(self):
        for name in SHEETS:
            assert self.many(name).content.startswith(b"%PDF")
            for person, status in (
                (self.lead, 403),
                (self.ann, 403),
                (self.stranger, 403),
                (None, 302),
            ):
                with mock.patch.object(views, "AT_ONCE", 1):
                    assert self.get(person, name).status_code == status
        # A pack's address takes a name: not any name.
        for row in Printing.objects.all():
            pack = reverse("public:pack", args=[self.demonstration.slug, row.name])
            assert self.at(self.organiser).get(pack).status_code == 404

    def test_a_new_line_in_the_book_makes_it_anew_and_the_old_file_goes(self):
        self.many("statements_sheet")
        old = Printing.objects.get().file.name
        make_entry(gathering=self.gathering, volunteer=self.ann, beets=2)
        self.many("statements_sheet")
        assert Printing.objects.get().file.name != old
        assert not default_storage.exists(old)

    def test_what_is_made_is_given_out_at_the_same_cost_for_any_number(self):
        costs = []
        for _ in range(2):
            self.many("all_thanks_sheet")
            with (
                mock.patch.object(views, "AT_ONCE", 1),
                CaptureQueriesContext(connection) as queries,
            ):
                self.get(self.organiser, "all_thanks_sheet")
            costs.append(len(queries))
            self.more_people(3)
        assert costs[0] == costs[1]
