"""The picture pages: who may open them, and what they send."""

import re
from datetime import timedelta
from io import BytesIO

import pytest
from django.core.files.base import ContentFile
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import TestCase
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from PIL import Image

from heritage.common import clock
from heritage.kits.photo_read import read_words
from heritage.pictures.models import Picture, Shown
from heritage.pictures.selectors import ON_A_PAGE
from heritage.season.models import Stage, Tool
from tests.factories import (
    NOW,
    make_demonstration,
    make_gathering,
    make_organiser,
    make_picture,
    make_volunteer,
)
from tests.pictures.photographs import photograph
from tests.responses import finish


@pytest.fixture(autouse=True)
def a_wednesday_evening(monkeypatch):
    monkeypatch.setattr(clock, "now", lambda: NOW)


class Pages(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.home = make_demonstration()
        cls.volunteer = make_volunteer(demonstration=cls.home).user
        cls.organiser = make_organiser(demonstration=cls.home).user
        cls.stranger = make_organiser().user
        cls.shown = make_picture(demonstration=cls.home, caption="Shown to all")
        cls.hidden = make_picture(
            demonstration=cls.home, caption="Kept back", is_published=False
        )

    def address(self, name, *keys):
        return reverse(f"pictures:{name}", args=[self.home.slug, *keys])

    def get(self, name, *keys, user=None, **headers):
        if user:
            self.client.force_login(user)
        return self.client.get(self.address(name, *keys), **headers)

    def post(self, name, *keys, user, data=None):
        self.client.force_login(user)
        return self.client.post(self.address(name, *keys), data or {})

    def words(self, response, status=200):
        assert response.status_code == status
        return re.sub(r"\s+", " ", response.content.decode())


class ListTests(Pages):
    def test_a_visitor_sees_what_is_published(self):
        words = self.words(self.get("list"))
        assert "Shown to all" in words
        assert "Kept back" not in words
        assert "Add a picture" not in words

    def test_a_member_sees_all(self):
        self.client.force_login(self.volunteer)
        self.assertContains(self.get("list"), "?stage=pulling")
        wall = self.client.get(self.address("list"), {"stage": "pulling"})
        words = self.words(wall)
        assert "Kept back" in words
        assert "not shown to visitors" in words

    def test_it_costs_the_same_however_many_there_are(self):
        costs = []
        for more in (0, ON_A_PAGE):
            for _number in range(more):
                make_picture(demonstration=self.home, tool=Tool.BAND)
            for user in (None, self.organiser):
                for asked in ({}, {"words": "fenn"}):
                    with CaptureQueriesContext(connection) as asking:
                        page = self.get("list", user=user, query_params=asked)
                    shown = sum(
                        len(one.pictures) for one in page.context["wall"].shelves
                    )
                    assert 0 < shown <= ON_A_PAGE
                    costs.append(len(asking))
            self.client.logout()
        assert costs[:4] == costs[4:]

    def test_nothing_yet(self):
        Picture.objects.all().delete()
        assert "No picture yet" in self.words(self.get("list"))
        assert "Add the first" in self.words(self.get("list", user=self.volunteer))


class PictureTests(Pages):
    def test_a_visitor_reads_caption_credit_and_no_names_of_members(self):
        words = self.words(self.get("picture", self.shown.pk))
        assert "Shown to all" in words
        assert "Orla Fenn" in words
        assert "Added by" not in words

    def test_what_is_kept_back_is_not_found(self):
        assert self.get("picture", self.hidden.pk).status_code == 404
        response = self.get("picture", self.hidden.pk, user=self.stranger)
        assert response.status_code == 404

    def test_a_member_reads_the_rest(self):
        words = self.words(self.get("picture", self.hidden.pk, user=self.volunteer))
        assert "Added by" in words
        assert "Save the original" not in words

    def test_an_organiser_may_show_it(self):
        words = self.words(self.get("picture", self.hidden.pk, user=self.organiser))
        assert "Show it to visitors" in words

    def test_a_picture_of_another_demonstration_is_not_found_here(self):
        assert self.get("picture", make_picture().pk).status_code == 404


class FileTests(Pages):
    def test_a_published_copy_is_sent_sealed(self):
        response = self.get("file", self.shown.key, "large")
        assert finish(response).startswith(b"\xff\xd8")
        assert response["Content-Type"] == "image/jpeg"
        assert response["X-Content-Type-Options"] == "nosniff"
        assert response["Content-Security-Policy"] == "default-src 'none'; sandbox"
        assert response["Cache-Control"] == "private, no-cache"

    def test_a_tiny_copy_is_drawn_of_the_small_one_and_carries_its_words(self):
        picture = make_picture(demonstration=self.home, width=1200, height=800)
        picture.small.save("small.jpg", ContentFile(photograph()))
        sent = finish(self.get("file", picture.key, "tiny"))
        with Image.open(BytesIO(sent)) as image:
            assert image.size == (picture.tiny_width, 213) == (320, 213)
            assert read_words(image).caption == picture.caption
        whole, cut = finish(self.get("file", picture.key, "small")), photograph()[:90]
        assert len(sent) < len(whole)
        picture.small.save("small.jpg", ContentFile(cut))
        assert self.get("file", picture.key, "tiny").status_code == 404

    def test_what_has_not_changed_is_not_sent_twice(self):
        first = self.get("file", self.shown.key, "small")
        finish(first)
        again = self.get(
            "file", self.shown.key, "small", headers={"If-None-Match": first["ETag"]}
        )
        assert (again.status_code, again.content) == (304, b"")

    def test_a_withdrawn_picture_is_gone_at_once_tag_or_no_tag(self):
        first = self.get("file", self.shown.key, "small")
        finish(first)
        Picture.objects.filter(pk=self.shown.pk).update(is_published=False)
        again = self.get(
            "file", self.shown.key, "small", headers={"If-None-Match": first["ETag"]}
        )
        assert again.status_code == 404

    def test_a_member_sees_what_is_kept_back(self):
        assert self.get("file", self.hidden.key, "small").status_code == 404
        response = self.get("file", self.hidden.key, "small", user=self.volunteer)
        assert finish(response)

    def test_the_original_is_no_size_to_ask_for(self):
        response = self.get("file", self.shown.key, "original", user=self.organiser)
        assert response.status_code == 404

    def test_a_file_that_left_the_store_is_not_found(self):
        lost = make_picture(demonstration=self.home)
        lost.large.storage.delete(lost.large.name)
        assert self.get("file", lost.key, "large").status_code == 404

    def test_the_original_is_saved_by_the_organiser_alone(self):
        assert self.get("original", self.shown.pk).status_code == 302
        refused = self.get("original", self.shown.pk, user=self.volunteer)
        assert refused.status_code == 403
        response = self.get("original", self.shown.pk, user=self.organiser)
        assert finish(response).startswith(b"\xff\xd8")
        assert response["Content-Disposition"].startswith("attachment")
        assert response["Content-Type"] == "application/octet-stream"
        assert "sandbox" in response["Content-Security-Policy"]


class AddTests(Pages):
    def fields(self, **fields):
        return {
            "file": SimpleUploadedFile("IMG_0001.JPG", photograph()),
            "caption": "At the gate",
            "alt_text": "A gate stands open on a field of flax.",
            "stage": Stage.PULLING,
            "gathering": "",
            "taken_on": "",
            "shown": Shown.NOBODY,
            "credit": "Orla Fenn",
            "licence": "CC-BY-4.0",
        } | fields

    def add(self, user=None, **fields):
        return self.post("add", user=user or self.volunteer, data=self.fields(**fields))

    def test_a_visitor_signs_in_first_and_a_stranger_is_turned_away(self):
        assert self.get("add").status_code == 302
        assert self.get("add", user=self.stranger).status_code == 403

    def test_the_form_knows_who_photographs(self):
        form = self.get("add", user=self.volunteer).context["form"]
        assert form["credit"].value() == self.volunteer.name
        assert not form.errors

    def test_a_photograph_with_its_gathering(self):
        gathering = make_gathering(demonstration=self.home)
        response = self.add(gathering=gathering.pk)
        picture = Picture.objects.get(caption="At the gate")
        assert response.url == picture.get_absolute_url()
        assert (picture.gathering, picture.added_by) == (gathering, self.volunteer)
        assert "IMG_0001" not in picture.original.name

    def test_of_many_gatherings_one_is_found_by_its_words(self):
        days = [NOW + timedelta(days=n) for n in range(13)]
        rows = [
            make_gathering(
                demonstration=self.home,
                title="Pulling",
                starts_at=day,
                ends_at=day + timedelta(hours=2),
            )
            for day in days
        ]
        assert self.add(gathering="Pulling (14 Aug 2026)").status_code == 302
        picture = Picture.objects.latest("pk")
        assert picture.gathering == rows[2]
        page = self.get("edit", picture.pk, user=self.organiser)
        self.assertContains(page, 'value="Pulling (14 Aug 2026)"')
        asked = (
            ("pulling", "There is more than one"),
            ("14 aug", "“14 aug” isn't on the list. Is it one of these?"),
            ("horse", "“horse” isn't on the list. Check"),
        )
        for typed, said in asked:
            errors = self.add(gathering=typed).context["form"].errors
            assert errors["gathering"][0].startswith(said)

    def test_a_gathering_of_others_is_refused(self):
        make_gathering(demonstration=self.home)
        response = self.add(gathering=make_gathering().pk)
        assert "gathering" in response.context["form"].errors

    def test_words_are_asked_for_and_the_file_again_kindly(self):
        response = self.add(caption="", alt_text="")
        errors = response.context["form"].errors
        assert {"caption", "alt_text"} <= set(errors)
        assert "Choose the photograph again" in errors["file"][0]
        unknown = SimpleUploadedFile("b.jpg", b"")
        assert self.add(caption="", unknown=unknown).status_code == 200
        assert "Orla Fenn" in self.words(response)

    def test_a_file_that_is_no_photograph(self):
        response = self.add(file=SimpleUploadedFile("a.jpg", b"<svg/>"))
        words = self.words(response)
        assert "not a photograph that can be kept" in words
        assert "Choose the photograph again" not in words
        assert 'value="At the gate"' in words

    def test_no_file_and_an_empty_file(self):
        empty = SimpleUploadedFile("a.jpg", b"")
        assert "This file is empty" in self.words(self.add(file=empty))
        response = self.add(file="")
        assert "file" in response.context["form"].errors

    def test_a_file_too_large_is_not_even_read(self):
        with self.settings(PICTURE_MAX_BYTES=1024):
            assert "The file is larger than" in self.words(self.add())

    def test_too_many_dots(self):
        with self.settings(PICTURE_MAX_PIXELS=1000):
            assert "more dots" in self.words(self.add())

    def test_the_same_file_twice(self):
        self.add()
        assert "already here" in self.words(self.add())


class ShowTests(Pages):
    def test_an_organiser_shows_and_withdraws(self):
        self.post("publish", self.hidden.pk, user=self.organiser)
        self.hidden.refresh_from_db()
        assert self.hidden.is_published
        self.post("withdraw", self.hidden.pk, user=self.organiser)
        self.hidden.refresh_from_db()
        assert not self.hidden.is_published

    def test_somebody_unasked_keeps_it_back(self):
        Picture.objects.filter(pk=self.hidden.pk).update(shown=Shown.UNASKED)
        self.client.force_login(self.organiser)
        address = self.address("publish", self.hidden.pk)
        words = self.words(self.client.post(address, follow=True))
        assert "has not been asked" in words

    def test_nobody_else_may(self):
        for name in ("publish", "withdraw", "edit"):
            response = self.post(name, self.shown.pk, user=self.volunteer)
            assert response.status_code == (404 if name == "edit" else 403)
            response = self.post(name, make_picture().pk, user=self.organiser)
            assert response.status_code == 404


class EditTests(Pages):
    def edit(self, **fields):
        form = self.get("edit", self.shown.pk, user=self.organiser).context["form"]
        data = {name: form[name].value() or "" for name in form.fields} | fields
        data["people"] = []
        return self.post("edit", self.shown.pk, user=self.organiser, data=data)

    def test_words_are_put_right(self):
        self.edit(caption="By the dam")
        self.shown.refresh_from_db()
        assert (self.shown.caption, self.shown.is_published) == ("By the dam", True)

    def test_consent_taken_back_withdraws_it_and_says_so(self):
        self.edit(shown=Shown.UNASKED)
        self.shown.refresh_from_db()
        assert not self.shown.is_published
        words = self.words(self.client.get(self.shown.get_absolute_url()))
        assert "no longer see" in words

    def test_words_cannot_be_taken_away(self):
        response = self.edit(alt_text="")
        assert "alt_text" in response.context["form"].errors

    def test_no_day_to_come(self):
        response = self.edit(taken_on="2026-09-01")
        assert "in the future" in response.context["form"].errors["taken_on"][0]
