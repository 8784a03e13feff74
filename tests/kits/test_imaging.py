"""Photographs are checked and drawn anew; nothing hidden comes out with them."""

import hashlib
import io
import struct
import zlib
from datetime import date

import pillow_heif
import pytest
from PIL import Image, ImageCms

from heritage.kits.imaging import Refused, kind_of, prepare

LIMITS = {"most_bytes": 2 * 1024 * 1024, "most_pixels": 4_000_000}
RED, BLUE = (200, 30, 30), (30, 30, 200)


def picture(size=(120, 80), mode="RGB"):
    """Return a picture whose left half is red and whose right half is blue."""
    image = Image.new("RGB", size, BLUE)
    image.paste(RED, (0, 0, size[0] // 2, size[1]))
    return image.convert(mode)


def saved(image, kind="JPEG", **options):
    buffer = io.BytesIO()
    image.save(buffer, kind, **options)
    return buffer.getvalue()


def opened(data):
    image = Image.open(io.BytesIO(data))
    image.load()
    return image


def is_near(colour, wanted):
    return all(abs(a - b) < 30 for a, b in zip(colour[:3], wanted, strict=True))


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "HEIF"])
def test_each_allowed_kind_comes_out_as_jpeg(kind):
    prepared = prepare(saved(picture(), kind), **LIMITS)
    large = opened(prepared.large)
    assert large.format == "JPEG"
    assert (prepared.width, prepared.height) == large.size == (120, 80)
    assert is_near(large.getpixel((10, 40)), RED)
    assert is_near(large.getpixel((110, 40)), BLUE)


@pytest.mark.parametrize("mode", ["L", "LA", "P", "RGBA", "1", "I;16"])
def test_each_way_of_keeping_dots_is_drawn_in_three_colours(mode):
    image = Image.new("I;16", (64, 64), 40_000) if mode == "I;16" else picture()
    data = saved(image if mode == "I;16" else image.convert(mode), "PNG")
    assert opened(prepare(data, **LIMITS).large).mode == "RGB"


def test_sixteen_bits_of_grey_keep_their_shade():
    data = saved(Image.new("I;16", (64, 64), 40_000), "PNG")
    assert is_near(opened(prepare(data, **LIMITS).large).getpixel((5, 5)), [156] * 3)


def test_a_printer_s_four_colours_are_drawn_in_three():
    assert opened(prepare(saved(picture(mode="CMYK")), **LIMITS).large).mode == "RGB"


def test_clear_parts_lie_on_white():
    data = saved(Image.new("RGBA", (64, 64), (0, 0, 0, 0)), "PNG")
    assert is_near(opened(prepare(data, **LIMITS).large).getpixel((5, 5)), [255] * 3)


def test_a_broken_colour_profile_spoils_nothing():
    prepared = prepare(saved(picture(), icc_profile=b"no profile"), **LIMITS)
    assert is_near(opened(prepared.large).getpixel((10, 40)), RED)


def test_a_colour_profile_is_used_and_left_out():
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    prepared = prepare(saved(picture(), icc_profile=profile), **LIMITS)
    large = opened(prepared.large)
    assert is_near(large.getpixel((10, 40)), RED)
    assert "icc_profile" not in large.info


def test_sizes_are_held_within_their_longest_side():
    prepared = prepare(saved(picture((2400, 1200))), **LIMITS)
    assert opened(prepared.large).size == (2048, 1024)
    assert opened(prepared.small).size == (640, 320)


@pytest.mark.parametrize("orientation", [3, 6, 8])
def test_a_turned_camera_s_picture_stands_upright(orientation):
    """The red half goes where the camera says it belongs."""
    exif = Image.Exif()
    exif[0x0112] = orientation
    prepared = prepare(saved(picture(), exif=exif), **LIMITS)
    large = opened(prepared.large)
    places = {3: (110, 40), 6: (40, 10), 8: (40, 110)}
    assert large.size == ((120, 80) if orientation == 3 else (80, 120))
    assert is_near(large.getpixel(places[orientation]), RED)
    assert not large.getexif()


def test_the_camera_s_day_is_read():
    exif = Image.Exif()
    exif.get_ifd(0x8769)[0x9003] = "2026:08:11 19:45:00"
    assert prepare(saved(picture(), exif=exif), **LIMITS).taken_on == date(2026, 8, 11)


@pytest.mark.parametrize("written", ["0000:00:00 00:00:00", "yesterday", ""])
def test_a_day_that_cannot_be_read_is_none(written):
    exif = Image.Exif()
    exif[0x0132] = written
    assert prepare(saved(picture(), exif=exif), **LIMITS).taken_on is None


def test_comments_and_text_are_left_out():
    prepared = prepare(saved(picture(), comment=b"at the gate of Ann"), **LIMITS)
    assert b"gate of Ann" not in prepared.large + prepared.small


def test_the_digest_is_of_the_bytes_sent():
    data = saved(picture())
    assert prepare(data, **LIMITS).sha256 == hashlib.sha256(data).hexdigest()


def test_the_same_file_gives_the_same_bytes():
    data = saved(picture())
    assert prepare(data, **LIMITS) == prepare(data, **LIMITS)


def test_a_telephone_s_file_of_two_pictures_gives_the_first():
    data = saved(
        picture(), "MPO", save_all=True, append_images=[Image.new("RGB", (120, 80))]
    )
    prepared = prepare(data, **LIMITS)
    assert prepared.kind == "jpeg"
    assert is_near(opened(prepared.large).getpixel((10, 40)), RED)


def test_nothing_is_refused():
    with pytest.raises(Refused, match=r"^empty$"):
        prepare(b"", **LIMITS)


@pytest.mark.parametrize(
    "data",
    [
        b"<svg xmlns='http://www.w3.org/2000/svg'/>",
        b"GIF89a" + bytes(40),
        b"%PDF-1.7",
        b"BM" + bytes(60),
        b"\0\0\0\x1cftypavif" + bytes(40),
    ],
)
def test_other_kinds_are_refused(data):
    with pytest.raises(Refused, match=r"^no_photograph$"):
        prepare(data, **LIMITS)


def test_too_many_bytes_are_refused():
    with pytest.raises(Refused, match=r"^too_large$"):
        prepare(b"\xff\xd8\xff" + bytes(3 * 1024 * 1024), **LIMITS)


def test_first_bytes_that_lie_are_refused():
    data = saved(picture(), "PNG")
    with pytest.raises(Refused, match=r"^damaged$"):
        prepare(b"\xff\xd8\xff\xe0" + data[4:], **LIMITS)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "HEIF"])
def test_half_a_file_is_refused(kind):
    data = saved(Image.effect_noise((200, 200), 90).convert("RGB"), kind)
    with pytest.raises(Refused, match=r"^damaged$"):
        prepare(data[: len(data) // 2], **LIMITS)


def test_a_moving_picture_is_refused():
    data = saved(
        picture(), "PNG", save_all=True, append_images=[Image.new("RGB", (120, 80))]
    )
    with pytest.raises(Refused, match=r"^moving$"):
        prepare(data, **LIMITS)


def test_a_speck_is_refused():
    with pytest.raises(Refused, match=r"^too_small$"):
        prepare(saved(picture((8, 8))), **LIMITS)


def bomb(width, height):
    """Return a PNG whose head claims a size that its few bytes do not hold."""

    def chunk(kind, body):
        check = zlib.crc32(kind + body)
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", check)

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(bytes(1000)))
        + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize("side", [2100, 10_000, 60_000])
def test_more_dots_than_allowed_are_refused_unopened(side):
    """Past our own limit, past the decoder's warning and past its error."""
    with pytest.raises(Refused, match=r"^too_many_dots$"):
        prepare(bomb(side, side), **LIMITS)


def test_a_decoder_that_stumbles_is_a_damaged_file(monkeypatch):
    def stumble(*args, **kwargs):
        raise RuntimeError("nonsense")

    monkeypatch.setattr(Image, "open", stumble)
    with pytest.raises(Refused, match=r"^damaged$"):
        prepare(saved(picture()), **LIMITS)


def test_kinds_are_told_by_their_first_bytes():
    heic = io.BytesIO()
    pillow_heif.from_pillow(picture()).save(heic)
    assert kind_of(heic.getvalue()[:16]) == "heic"
    assert kind_of(b"RIFF\0\0\0\0WAVE") == ""
