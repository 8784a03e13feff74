"""What the database itself refuses, and who sees which picture."""

import pytest
from django.contrib.auth.models import AnonymousUser
from django.db import IntegrityError
from django.test import TestCase

from heritage.pictures.models import Picture, Shown
from tests.factories import (
    make_demonstration,
    make_organiser,
    make_picture,
    make_volunteer,
)


class PictureTests(TestCase):
    def test_a_file_is_in_a_record_once(self):
        picture = make_picture()
        with pytest.raises(IntegrityError):
            make_picture(demonstration=picture.demonstration, sha256=picture.sha256)

    def test_published_only_with_a_caption(self):
        with pytest.raises(IntegrityError):
            make_picture(caption="")

    def test_published_only_with_words(self):
        with pytest.raises(IntegrityError):
            make_picture(alt_text="")

    def test_published_only_with_consent(self):
        with pytest.raises(IntegrityError):
            make_picture(shown=Shown.UNASKED)

    def test_unpublished_without_consent_is_kept(self):
        assert make_picture(shown=Shown.UNASKED, is_published=False).pk

    def test_stage_is_known(self):
        with pytest.raises(IntegrityError):
            make_picture(stage="dancing")

    def test_choices_are_known(self):
        with pytest.raises(IntegrityError):
            make_picture(licence="mine")

    def test_files_are_named_by_the_key(self):
        picture = make_picture()
        assert picture.original.name.endswith(f"originals/{picture.key}")
        assert picture.large.name.endswith(f"pictures/{picture.key}-large.jpg")

    def test_the_small_copy_keeps_the_shape(self):
        picture = make_picture(width=1600, height=800)
        assert (picture.small_width, picture.small_height) == (640, 320)

    def test_what_is_small_already_stays(self):
        picture = make_picture(width=300, height=200)
        assert (picture.small_width, picture.small_height) == (300, 200)


class DoorTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.home = make_demonstration()
        cls.shown = make_picture(demonstration=cls.home)
        cls.hidden = make_picture(demonstration=cls.home, is_published=False)
        make_picture(demonstration=make_demonstration(is_public=False))

    def seen_by(self, user):
        return set(Picture.objects.visible_to(user))

    def test_a_visitor_sees_the_published_of_public_demonstrations(self):
        assert self.seen_by(AnonymousUser()) == {self.shown}

    def test_a_member_sees_all_of_their_own(self):
        user = make_volunteer(demonstration=self.home).user
        assert self.seen_by(user) == {self.shown, self.hidden}

    def test_a_stranger_sees_what_a_visitor_sees(self):
        assert self.seen_by(make_organiser().user) == {self.shown}
