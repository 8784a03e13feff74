"""Pictures are taken in clean, described, shown and taken down."""

from datetime import date
from pathlib import Path

import pytest
from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import DatabaseError
from django.test import TestCase

from heritage.common.photographs import read_photograph as read
from heritage.pictures import services
from heritage.pictures.models import Licence, Picture, Shown
from heritage.season.models import Stage
from tests.factories import NOW, make_demonstration, make_picture, make_user
from tests.pictures.photographs import camera_day, photograph

SAID = {
    "stage": Stage.PULLING,
    "gathering": None,
    "caption": "Pulling at dusk",
    "alt_text": "Two people bend to pull flax.",
    "taken_on": None,
    "credit": "Orla Fenn",
    "licence": Licence.CC_BY,
    "shown": Shown.NOBODY,
}


def stored_files():
    return {path for path in Path(settings.MEDIA_ROOT).rglob("*") if path.is_file()}


class AddTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration()
        cls.user = make_user()

    def add(self, data=None, demonstration=None, **said):
        data = data or photograph()
        return services.add_picture(
            demonstration=demonstration or self.demonstration,
            original=data,
            prepared=read(data),
            values=SAID | said,
            by=self.user,
            now=NOW,
        )

    def test_original_and_copies_are_kept_apart(self):
        data = photograph()
        picture = self.add(data)
        picture.refresh_from_db()
        with picture.original.open() as original:
            assert original.read() == data
        with picture.small.open() as small:
            assert small.read().startswith(b"\xff\xd8\xff")
        assert (picture.width, picture.height) == (1200, 800)
        assert not picture.is_published

    def test_the_day_that_was_typed_comes_first(self):
        data = photograph(exif=camera_day("2026:08:11"))
        assert self.add(data, taken_on=date(2026, 8, 10)).taken_on == date(2026, 8, 10)

    def test_then_the_camera_s_day(self):
        data = photograph(exif=camera_day("2026:08:11"))
        assert self.add(data).taken_on == date(2026, 8, 11)

    def test_then_today(self):
        assert self.add().taken_on == date(2026, 8, 12)

    def test_a_camera_ahead_of_its_time_is_not_believed(self):
        data = photograph(exif=camera_day("2031:01:01"))
        assert self.add(data).taken_on == date(2026, 8, 12)

    def test_no_day_to_come(self):
        with pytest.raises(ValidationError, match="in the future"):
            self.add(taken_on=date(2026, 8, 13))

    def test_the_same_file_twice_is_refused(self):
        self.add()
        with pytest.raises(ValidationError, match="already here"):
            self.add()

    def test_another_demonstration_may_have_it_too(self):
        self.add()
        assert self.add(demonstration=make_demonstration()).pk

    def test_words_may_come_later_and_no_visitor_sees_it_before(self):
        picture = self.add(caption="", alt_text="")
        with pytest.raises(ValidationError) as refusal:
            services.publish(picture=picture)
        assert "It has no caption yet." in refusal.value.messages

    def test_no_file_stays_behind_when_the_row_cannot_be_written(self):
        before = stored_files()
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(Picture, "save", save_files_then_fail)
            with pytest.raises(DatabaseError):
                self.add()
        assert stored_files() == before

    def test_nor_when_only_some_were_written(self):
        before = stored_files()
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(Picture, "save", save_one_file_then_fail)
            with pytest.raises(DatabaseError):
                self.add()
        assert stored_files() == before


def save_files_then_fail(picture, **options):
    for name in ("original", "large", "small"):
        Picture._meta.get_field(name).pre_save(picture, add=True)
    raise DatabaseError("the database went away")


def save_one_file_then_fail(picture, **options):
    Picture._meta.get_field("original").pre_save(picture, add=True)
    raise DatabaseError("the database went away")


def test_a_file_that_is_no_photograph_is_refused_by_its_field():
    with pytest.raises(ValidationError, match="JPEG, PNG, WebP or HEIC") as refusal:
        read(b"GIF89a")
    assert "file" in refusal.value.message_dict


class ShowTests(TestCase):
    def test_a_picture_is_shown_and_withdrawn(self):
        picture = make_picture(is_published=False)
        assert services.publish(picture=picture).is_published
        assert not services.withdraw(picture=picture).is_published
        picture.refresh_from_db()
        assert not picture.is_published

    def test_all_that_is_missing_is_said_at_once(self):
        picture = make_picture(
            is_published=False, caption="", alt_text=" ", shown=Shown.UNASKED
        )
        with pytest.raises(ValidationError) as refusal:
            services.publish(picture=picture)
        said = " ".join(refusal.value.messages)
        assert "no caption" in said
        assert "not yet described" in said
        assert "has not been asked" in said


class EditTests(TestCase):
    def edit(self, picture, **said):
        said = SAID | {"taken_on": date(2026, 8, 9)} | said
        return services.edit_picture(picture=picture, values=said, now=NOW)

    def test_words_are_put_right(self):
        picture = self.edit(make_picture(), caption="At the dam")
        picture.refresh_from_db()
        assert (picture.caption, picture.taken_on) == ("At the dam", date(2026, 8, 9))
        assert picture.is_published

    def test_a_day_left_empty_stays(self):
        picture = make_picture(taken_on=date(2026, 8, 8))
        assert self.edit(picture, taken_on=None).taken_on == date(2026, 8, 8)

    def test_consent_taken_back_withdraws_it(self):
        picture = self.edit(make_picture(), shown=Shown.UNASKED)
        picture.refresh_from_db()
        assert not picture.is_published

    def test_words_cannot_be_taken_away(self):
        with pytest.raises(ValidationError) as refusal:
            self.edit(make_picture(), alt_text="")
        assert "alt_text" in refusal.value.message_dict
