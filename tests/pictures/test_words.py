"""Each served copy carries its words, follows their changes, and is named by them."""

import io
from datetime import date

import pyexiv2
import pytest
from django.core.files.base import ContentFile
from django.test import TestCase
from django.urls import reverse
from PIL import Image

from heritage.common import clock
from heritage.common.photographs import read_photograph
from heritage.pictures import services
from heritage.pictures.models import Licence, Picture, Shown
from heritage.pictures.words import carried, file_name, rights
from heritage.season.models import Stage
from tests.factories import NOW, make_demonstration, make_organiser, make_picture
from tests.pictures.photographs import photograph
from tests.responses import finish

GPS = 0x8825


@pytest.fixture(autouse=True)
def a_wednesday_evening(monkeypatch):
    monkeypatch.setattr(clock, "now", lambda: NOW)


def read(data):
    image = pyexiv2.ImageData(data)
    try:
        return image.read_xmp(), image.read_iptc(), image.read_exif()
    finally:
        image.close()


def default(text):
    return {'lang="x-default"': text}


class ServedTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.home = make_demonstration()
        cls.by = make_organiser(demonstration=cls.home).user
        cls.picture = make_picture(
            demonstration=cls.home,
            caption="Beets handed up to the cart",
            alt_text="One person on a cart, one below with a sheaf.",
            stage=Stage.CARTING,
            taken_on=date(2026, 8, 11),
        )

    def get(self, size="large", **headers):
        args = [self.home.slug, self.picture.key, size]
        return self.client.get(reverse("pictures:file", args=args), headers=headers)

    def test_both_sizes_say_what_they_show_and_whose_they_are(self):
        for size in ("large", "small"):
            xmp, iptc, _ = read(finish(self.get(size)))
            assert xmp["Xmp.dc.description"] == default(self.picture.caption)
            alt = xmp["Xmp.iptc.AltTextAccessibility"]
            assert alt == default(self.picture.alt_text)
            assert xmp["Xmp.dc.creator"] == ["Orla Fenn"]
            assert xmp["Xmp.photoshop.Credit"] == f"Orla Fenn / {self.home.name}"
            assert xmp["Xmp.dc.rights"] == default("© 2026 Orla Fenn, CC-BY-4.0")
            address = "https://creativecommons.org/licenses/by/4.0/"
            assert xmp["Xmp.xmpRights.WebStatement"] == address
            assert iptc["Iptc.Application2.Caption"] == self.picture.caption
            assert iptc["Iptc.Application2.Byline"] == ["Orla Fenn"]
            assert iptc["Iptc.Application2.Copyright"] == "© 2026 Orla Fenn, CC-BY-4.0"

    def test_the_file_is_named_by_day_stage_and_caption(self):
        name = self.get()["Content-Disposition"]
        said = "2026-08-11-carting-beets-handed-up-to-the-cart"
        assert name == f'inline; filename="{said}-{self.picture.pk}.jpg"'

    def test_changed_words_follow_at_once_and_break_the_tag(self):
        first = self.get()
        finish(first)
        tag = {"If-None-Match": first["ETag"]}
        assert self.get(**tag).status_code == 304
        services.edit_picture(
            picture=self.picture, values={"caption": "Loading"}, by=self.by, now=NOW
        )
        again = self.get(**tag)
        xmp, _, _ = read(finish(again))
        assert again.status_code == 200
        assert xmp["Xmp.dc.description"] == default("Loading")

    def test_where_it_was_taken_is_never_served(self):
        original = photograph(exif=self.where())
        assert any("GPSInfo" in name for name in read(original)[2])
        picture = services.add_picture(
            demonstration=self.home,
            original=original,
            prepared=read_photograph(original),
            values={
                "caption": "At the dam",
                "alt_text": "A dam.",
                "stage": Stage.RETTING,
                "taken_on": None,
                "shown": Shown.NOBODY,
                "credit": "Orla Fenn",
                "licence": Licence.CC0,
            },
            by=self.by,
            now=NOW,
        )
        Picture.objects.filter(pk=picture.pk).update(is_published=True)
        self.picture = picture
        for size in ("large", "small"):
            served = finish(self.get(size))
            xmp, _, exif = read(served)
            assert exif == {}
            assert not any("gps" in name.lower() for name in xmp)
            assert b"GPS" not in served

    def test_a_copy_that_the_store_has_spoilt_is_not_found(self):
        self.picture.large.save("large.jpg", ContentFile(b"spoilt"))
        assert self.get().status_code == 404

    def where(self):
        plain = io.BytesIO()
        Image.new("RGB", (2, 2)).save(plain, "JPEG")
        image = pyexiv2.ImageData(plain.getvalue())
        image.modify_exif(
            {
                "Exif.GPSInfo.GPSLatitudeRef": "N",
                "Exif.GPSInfo.GPSLatitude": "54/1 36/1 0/1",
            }
        )
        with Image.open(io.BytesIO(image.get_bytes())) as placed:
            exif = placed.getexif().tobytes()
        image.close()
        return exif


def test_the_right_notice_for_each_licence():
    said = {
        licence: rights(
            Picture(credit="Orla Fenn", taken_on=date(2026, 8, 11), licence=licence)
        )
        for licence in Licence
    }
    assert said == {
        Licence.CC_BY: "© 2026 Orla Fenn, CC-BY-4.0",
        Licence.CC_BY_SA: "© 2026 Orla Fenn, CC-BY-SA-4.0",
        Licence.CC0: "Given to everybody by Orla Fenn (CC0 1.0)",
        Licence.RESERVED: "© 2026 Orla Fenn, all rights reserved",
    }


@pytest.mark.django_db
def test_a_name_of_signs_only_a_long_one_and_a_dangerous_one():
    picture = make_picture(caption="亜麻")
    day = f"{picture.taken_on}-{picture.stage}"
    assert file_name(picture) == f"{day}-{picture.pk}.jpg"
    picture.caption = "Pulling flax " * 40
    cut = "pulling-flax-pulling-flax-pulling-flax-pulling-flax-pulling"
    assert file_name(picture) == f"{day}-{cut}-{picture.pk}.jpg"
    picture.caption = "Z" * 300
    assert file_name(picture) == f"{day}-{'z' * 60}-{picture.pk}.jpg"
    picture.caption = '../../"etc"\r\nX: 1/passwd'
    assert file_name(picture, "png") == f"{day}-etc-x-1passwd-{picture.pk}.png"


@pytest.mark.django_db
def test_every_licence_has_its_words():
    for licence in Licence:
        words = carried(make_picture(licence=licence))
        assert words.licence
        assert bool(words.licence_url) == (licence != Licence.RESERVED)
