"""Words inside a photograph, written by our own writer, by Exiv2 and by Pillow."""

import io
from datetime import date

import pyexiv2
import pytest
from PIL import Image

from heritage.kits.imaging import prepare
from heritage.kits.photo_read import CAPTION_LENGTH, Written, read_words
from heritage.kits.photo_words import PhotoWords, with_words
from tests.pictures.photographs import photograph


def read(data):
    return read_words(Image.open(io.BytesIO(data)))


def by_exiv2(kind, words):
    with pyexiv2.ImageData(photograph()) as image:
        getattr(image, f"modify_{kind}")(words)
        return image.get_bytes()


WRITTEN = Written("Pulling by the lane", "Máire Quin", ("flax", "pulling"))


def test_what_our_copies_carry_is_read_again():
    words = PhotoWords(
        title="",
        caption="Pulling by the lane",
        alt_text="",
        creator="Máire Quin",
        credit="",
        rights="",
        licence="",
        licence_url="",
        source="",
        place="",
        keywords=("flax", "pulling"),
        taken_on=date(2026, 8, 12),
    )
    assert read(with_words(photograph(), words)) == WRITTEN


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        (
            "xmp",
            {
                "Xmp.dc.description": {'lang="x-default"': "Pulling by the lane"},
                "Xmp.dc.creator": ["Máire Quin"],
                "Xmp.dc.subject": ["flax", "pulling"],
            },
        ),
        (
            "iptc",
            {
                "Iptc.Application2.Caption": "Pulling by the lane",
                "Iptc.Application2.Byline": ["Máire Quin"],
                "Iptc.Application2.Keywords": ["flax", "pulling"],
            },
        ),
    ],
)
def test_what_another_program_wrote_is_read(kind, words):
    """Exiv2 writes by the IPTC Photo Metadata Standard, which names these fields."""
    assert read(by_exiv2(kind, words)) == WRITTEN


def test_a_camera_s_own_fields_come_last():
    exif = Image.Exif()
    exif[0x010E], exif[0x013B] = "  A \x07long   day ", "Orla"
    assert read(photograph(exif=exif)) == Written("A long day", "Orla")


@pytest.mark.parametrize(
    "xmp",
    [
        b"<not xml",
        b'<!DOCTYPE x [<!ENTITY a "aaaa">]><x>&a;</x>',
        b"<x>" + b"y" * 60_000 + b"</",
        b"\xff\xfe\x00",
    ],
)
def test_hostile_words_are_left_unread(xmp):
    assert read(photograph(xmp=xmp)) == Written()


def test_words_are_cut_short():
    exif = Image.Exif()
    exif[0x010E] = "word " * 200
    assert len(read(photograph(exif=exif)).caption) <= CAPTION_LENGTH


def test_a_jpeg_may_have_twice_the_dots_for_it_is_read_at_a_fraction():
    large = photograph()
    assert prepare(large, most_bytes=10**7, most_pixels=1200 * 800 // 2).width == 1200
    with pytest.raises(ValueError, match="dots"):
        prepare(photograph("PNG"), most_bytes=10**7, most_pixels=1200 * 800 // 2)
