"""The words inside a picture, read back by programs that know nothing of this site.

Exiv2 (through pyexiv2) and Pillow are the readers; the names of the properties and of
the datasets are those of the IPTC Photo Metadata Standard 2023.2 and of IIM 4.2.
"""

import io
from dataclasses import replace
from datetime import date

import pyexiv2
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageChops, IptcImagePlugin

from heritage.kits.photo_words import PhotoWords, with_words

WORDS = PhotoWords(
    title="Evening by the dam",
    caption="Two neighbours carry a beet to Áine's cart & back <again>",
    alt_text="Two people in boots carry a tied sheaf between them. Ünder trees: 亜麻.",
    creator="Órla Fenn",
    credit="Órla Fenn / Carrowlint flax",
    rights="© 2026 Órla Fenn, CC-BY-4.0",
    licence="Creative Commons: credit the photographer",
    licence_url="https://creativecommons.org/licenses/by/4.0/",
    source="Carrowlint flax",
    place="Carrowlint",
    keywords=("carting", "flax"),
    taken_on=date(2026, 8, 11),
)
LANG = 'lang="x-default"'


def jpeg(**options):
    image = Image.radial_gradient("L").convert("RGB")
    buffer = io.BytesIO()
    image.save(buffer, "JPEG", **options)
    return buffer.getvalue()


def by_exiv2(data):
    image = pyexiv2.ImageData(data)
    try:
        return image.read_xmp(), image.read_iptc(), image.read_exif()
    finally:
        image.close()


def test_exiv2_reads_every_word_as_xmp():
    xmp, _, _ = by_exiv2(with_words(jpeg(), WORDS))
    assert xmp == {
        "Xmp.dc.title": {LANG: WORDS.title},
        "Xmp.dc.description": {LANG: WORDS.caption},
        "Xmp.iptc.AltTextAccessibility": {LANG: WORDS.alt_text},
        "Xmp.dc.creator": [WORDS.creator],
        "Xmp.photoshop.Credit": WORDS.credit,
        "Xmp.dc.rights": {LANG: WORDS.rights},
        "Xmp.xmpRights.UsageTerms": {LANG: WORDS.licence},
        "Xmp.xmpRights.WebStatement": WORDS.licence_url,
        "Xmp.photoshop.Source": WORDS.source,
        "Xmp.iptc.Location": WORDS.place,
        "Xmp.dc.subject": ["carting", "flax"],
        "Xmp.photoshop.DateCreated": "2026-08-11",
    }


def test_exiv2_reads_the_older_datasets():
    _, iptc, exif = by_exiv2(with_words(jpeg(), WORDS))
    assert iptc["Iptc.Application2.Caption"] == WORDS.caption
    assert iptc["Iptc.Application2.Byline"] == [WORDS.creator]
    assert iptc["Iptc.Application2.Credit"] == WORDS.credit
    assert iptc["Iptc.Application2.Copyright"] == WORDS.rights
    assert iptc["Iptc.Application2.Keywords"] == ["carting", "flax"]
    assert iptc["Iptc.Application2.DateCreated"] == "2026-08-11"
    assert iptc["Iptc.Envelope.CharacterSet"] == "\x1b%G"
    assert exif == {}


def test_pillow_reads_the_same_and_the_same_dots():
    plain = jpeg()
    with Image.open(io.BytesIO(with_words(plain, WORDS))) as image:
        iptc = IptcImagePlugin.getiptcinfo(image)
        about = image.getxmp()["xmpmeta"]["RDF"]["Description"]
        assert iptc[(2, 120)].decode() == WORDS.caption
        assert iptc[(2, 80)].decode() == WORDS.creator
        assert about["description"]["Alt"]["li"]["text"] == WORDS.caption
        assert about["AltTextAccessibility"]["Alt"]["li"]["text"] == WORDS.alt_text
        with Image.open(io.BytesIO(plain)) as before:
            assert ImageChops.difference(image, before).getbbox() is None


def test_the_jfif_head_stays_first_and_the_rest_as_it_was():
    plain = jpeg(progressive=True)
    told = with_words(plain, WORDS)
    assert told[:20] == plain[:20]
    assert told.endswith(plain[20:])


def test_a_jpeg_without_a_jfif_head_takes_the_words_too():
    bare = jpeg()[:2] + jpeg()[20:]
    xmp, _, _ = by_exiv2(with_words(bare, WORDS))
    assert xmp["Xmp.dc.description"] == {LANG: WORDS.caption}


def test_what_is_empty_is_left_out():
    silent = replace(WORDS, caption="", licence_url="", keywords=())
    xmp, iptc, _ = by_exiv2(with_words(jpeg(), silent))
    for name in ("dc.description", "xmpRights.WebStatement", "dc.subject"):
        assert f"Xmp.{name}" not in xmp
    assert "Iptc.Application2.Caption" not in iptc


def test_a_dataset_is_cut_at_its_standards_length_and_never_in_a_sign():
    # IIM 4.2: By-line has at most 32 octets; "ä" takes two, so 31 are filled.
    _, iptc, _ = by_exiv2(with_words(jpeg(), replace(WORDS, creator="x" + "ä" * 40)))
    assert iptc["Iptc.Application2.Byline"] == ["x" + "ä" * 15]


def test_the_same_words_give_the_same_bytes():
    assert with_words(jpeg(), WORDS) == with_words(jpeg(), WORDS)


def test_what_is_no_jpeg_is_refused():
    with pytest.raises(ValueError, match="no JPEG"):
        with_words(b"\x89PNG\r\n\x1a\n", WORDS)


@given(st.text(max_size=300))
def test_whatever_somebody_typed_is_read_back_but_for_signs_no_xml_holds(typed):
    with Image.open(
        io.BytesIO(with_words(jpeg(), replace(WORDS, alt_text=typed)))
    ) as it:
        about = it.getxmp()["xmpmeta"]["RDF"]["Description"]
    kept = "".join(c for c in typed if c.isprintable() and not c.isspace())
    if kept:
        read = about["AltTextAccessibility"]["Alt"]["li"]["text"]
        assert kept == "".join(c for c in read if c.isprintable() and not c.isspace())
