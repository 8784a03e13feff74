"""Many sheets are asked for, put together once, kept a day, and tried again."""

import errno
from contextlib import contextmanager
from dataclasses import replace
from datetime import timedelta
from io import StringIO
from unittest.mock import patch

import pytest
from django.core.files.storage import default_storage
from django.core.management import call_command
from django.test import TestCase
from django_tasks import task

from heritage.common import clock
from heritage.common.making import QUIET, State, WhyNot
from heritage.printing import services
from heritage.printing.models import Printing
from heritage.printing.services import Order
from heritage.privacy.erasing.services import ask_erasure, carry_out_erasure
from tests.factories import NOW, make_demonstration, make_organiser, make_volunteer

PDF = b"%PDF-1.7 of many sheets"
LATER = NOW + timedelta(minutes=1)


def drawn(printing, tell):
    tell(2)
    return PDF


@task()
def make(key: int) -> None:
    services.write(key=key, content=drawn, tell_time=clock.now)


@pytest.fixture(autouse=True)
def a_wednesday_evening(monkeypatch):
    monkeypatch.setattr(clock, "now", lambda: NOW)


@contextmanager
def a_busy_worker():
    """Let what is asked for wait its turn."""
    with patch.object(type(make), "enqueue") as enqueue:
        yield enqueue


class PrintingCase(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.nora = make_organiser()
        cls.home = cls.nora.demonstration
        cls.order = Order(cls.home, "booklet", "All of it", 48, ["as it was"], make)

    def printed(self, order=None, now=NOW):
        with TestCase.captureOnCommitCallbacks(execute=True):
            return services.printed(order=order or self.order, now=now)

    def tried_again(self, now):
        services.let_it_be_tried_again(order=self.order)
        return self.printed(now=now)


class AskingTests(PrintingCase):
    def test_where_no_worker_is_it_is_made_at_once(self):
        made = self.printed()
        assert (made.state, made.done, made.total) == (State.MADE, 48, 48)
        assert services.read(printing=made) == PDF

    def test_it_is_made_once_until_what_it_says_changes(self):
        made = self.printed()
        with self.assertNumQueries(2):
            assert self.printed(now=LATER) == made
        other = self.printed(replace(self.order, made_from=["changed"]))
        assert other != made
        assert list(Printing.objects.all()) == [other]
        assert not default_storage.exists(made.file.name)

    def test_a_new_program_and_a_new_address_make_it_anew(self):
        same = replace(self.order)
        assert same.mark == self.order.mark
        with self.settings(SITE_ADDRESS="https://elsewhere.example"):
            assert replace(self.order).mark != same.mark
        with patch.object(services, "version", lambda name: "9"):
            assert replace(self.order).mark != same.mark

    def test_while_one_is_made_all_who_ask_wait_for_it(self):
        """However many ask, and whatever for, one thing of a kind is in the queue."""
        with a_busy_worker() as enqueue:
            first = self.printed()
            again = self.printed(now=LATER)
            other = self.printed(replace(self.order, made_from=["changed"]))
            assert first == again == other
            assert enqueue.call_count == 1
            elsewhere = replace(self.order, demonstration=make_demonstration())
            assert self.printed(elsewhere) != first
            assert self.printed(replace(self.order, name="cards")) != first

    def test_one_that_nobody_makes_any_more_is_said_to_have_broken_off(self):
        with a_busy_worker():
            first = self.printed()
            late = NOW + QUIET + timedelta(seconds=1)
            assert self.printed(now=late).why_not == WhyNot.BROKE_OFF
            second = self.tried_again(late)
        assert (second.state, second != first) == (State.ASKED, True)


class MakingTests(PrintingCase):
    def failed(self, error):
        with patch.object(services.default_storage, "save", side_effect=error):
            return self.printed()

    def test_it_tells_how_far_it_is(self):
        told = []

        def slowly(printing, tell):
            for pages in (12, 99):
                tell(pages)
                told.append(Printing.objects.get(pk=printing.pk).done)
            return PDF

        with a_busy_worker():
            row = self.printed()
        services.write(key=row.pk, content=slowly, tell_time=clock.now)
        assert told == [12, 48]

    def test_nobody_makes_what_somebody_makes_or_made(self):
        made = self.printed()
        services.write(key=made.pk, content=self.fail, tell_time=clock.now)
        made.refresh_from_db()
        assert made.is_made

    def test_why_it_failed_is_kept_until_it_is_tried_again(self):
        full = self.failed(OSError(errno.ENOSPC, "full"))
        assert full.why_not == WhyNot.NO_ROOM
        assert self.printed(now=LATER) == full
        made = self.tried_again(LATER)
        assert made.is_made
        assert list(Printing.objects.all()) == [made]
        assert self.tried_again(LATER) == made

    def test_whatever_else_goes_wrong_is_said(self):
        assert self.failed(ValueError("a drawing is lost")).why_not == WhyNot.BROKE_OFF

    def test_what_the_store_has_lost_was_not_printed(self):
        made = self.printed()
        default_storage.delete(made.file.name)
        assert services.read(printing=made) is None
        assert self.printed().why_not == WhyNot.BROKE_OFF


class TidyingTests(PrintingCase):
    def test_what_was_asked_for_yesterday_is_tidied_away(self):
        made = self.printed()
        with self.captureOnCommitCallbacks(execute=True):
            services.drop_old(now=NOW + services.KEPT)
        assert made in Printing.objects.all()
        with (
            patch.object(clock, "now", lambda: NOW + services.KEPT + QUIET),
            self.captureOnCommitCallbacks(execute=True),
        ):
            call_command("tidy", "--carry-out", stdout=StringIO())
        assert not Printing.objects.exists()
        assert not default_storage.exists(made.file.name)

    def test_an_erasing_takes_it_along_and_stops_one_that_is_being_made(self):
        made = self.printed()
        with a_busy_worker():
            going = self.printed(replace(self.order, name="cards"))
        ann = make_volunteer(demonstration=self.home)
        asked = ask_erasure(volunteer=ann, by=self.nora.user, now=NOW)

        def meanwhile(printing, tell):
            carry_out_erasure(erasure=asked, by=self.nora.user, now=NOW)
            return PDF

        with self.captureOnCommitCallbacks(execute=True):
            services.write(key=going.pk, content=meanwhile, tell_time=clock.now)
        going.refresh_from_db()
        assert (going.why_not, going.file.name) == (WhyNot.ERASED, "")
        assert not Printing.objects.filter(pk=made.pk).exists()
        assert not default_storage.exists(made.file.name)
