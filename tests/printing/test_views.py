"""What somebody sees who asks for many sheets, with and without script."""

from unittest.mock import patch

import pytest
from django.test import TestCase
from django.urls import reverse

from heritage.common import clock
from heritage.common.making import State, WhyNot
from heritage.pictures.printed.services import make_album
from heritage.printing.models import Printing
from heritage.public.process import services as process
from heritage.public.shelf.services import make_pack
from tests.factories import NOW, make_demonstration, make_picture, make_volunteer

HTMX = {"HX-Request": "true"}


@pytest.fixture(autouse=True)
def a_wednesday_evening(monkeypatch):
    monkeypatch.setattr(clock, "now", lambda: NOW)


class PageTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.home = make_demonstration(is_public=True)
        cls.address = reverse("public:process_cards", args=[cls.home.slug])

    def asked(self, **fields):
        """Have a visitor ask for the cards; say how far they are."""
        with patch.object(type(process.make_cards), "enqueue"):
            self.client.get(self.address)
        Printing.objects.update(**fields)

    def test_a_visitor_waits_and_is_told_how_far_it_is(self):
        self.asked(state=State.MAKING, done=2)
        response = self.client.get(self.address)
        self.assertContains(response, "We're putting it together: 2 of 6 pages.")
        self.assertContains(response, "Look again")
        self.assertContains(
            response, '<noscript><meta http-equiv="refresh" content="4"></noscript>'
        )
        assert response["Cache-Control"].startswith("max-age=0, no-cache")

    def test_where_nobody_knows_how_many_pages_there_are_none_are_counted(self):
        album = reverse("pictures:album_sheet", args=[self.home.slug])
        with patch.object(type(make_album), "enqueue"):
            response = self.client.get(album)
        self.assertContains(response, "It may take a minute.")
        self.assertNotContains(response, "<meter")

    def test_the_page_that_asks_itself_offers_the_file_and_a_reader_gets_it(self):
        assert self.client.get(self.address).content.startswith(b"%PDF")
        ready = self.client.get(self.address, headers=HTMX)
        self.assertContains(ready, "It's ready to open and print.")
        self.assertContains(ready, "Open the PDF")
        assert Printing.objects.count() == 1

    def test_a_failure_is_said_and_tried_again_by_a_press_alone(self):
        self.asked(state=State.FAILED, why_not=WhyNot.NO_ROOM)
        for headers in ({}, HTMX):
            response = self.client.get(self.address, headers=headers)
            self.assertContains(response, "We couldn't put it together. There is no")
            self.assertContains(response, "Try again")
        assert self.client.post(self.address, follow=True).content.startswith(b"%PDF")

    def test_a_picture_taken_down_is_in_nothing_that_is_given_out(self):
        picture = make_picture(demonstration=self.home)
        album = reverse("pictures:album_sheet", args=[self.home.slug])
        self.client.get(album)
        first = Printing.objects.get()
        picture.is_published, picture.hidden_at = False, NOW
        picture.save()
        self.client.get(album)
        assert Printing.objects.get() != first

    def test_what_is_for_a_school_is_another_file_for_helpers(self):
        """A helper's has the permission to sign on it, and a visitor never gets it."""
        address = reverse("public:pack", args=[self.home.slug, "school"])
        with patch.object(type(make_pack), "enqueue"):
            self.client.get(address)
            self.client.force_login(make_volunteer(demonstration=self.home).user)
            self.client.get(address)
        names = Printing.objects.order_by("name").values_list("name", "total")
        assert list(names) == [("school", 54), ("school-helpers", 55)]
