"""Why a photograph is not taken, in sentences that say what to do."""

import io

import pytest
from django.core.exceptions import ValidationError
from django.test import override_settings
from PIL import Image

from heritage.common.photographs import WHY_NOT, read_photograph
from heritage.kits.imaging import WhyRefused
from tests.kits.test_imaging import bomb, picture, saved


def test_every_refusal_has_its_sentence():
    assert set(WHY_NOT) == set(WhyRefused)


def moving():
    return saved(
        picture(), "PNG", save_all=True, append_images=[Image.new("RGB", (120, 80))]
    )


@override_settings(PICTURE_MAX_BYTES=2 * 1024 * 1024, PICTURE_MAX_PIXELS=4_000_000)
@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "This file is empty. Choose another."),
        (
            b"\xff\xd8\xff" + bytes(3 * 1024 * 1024),
            "The file is larger than 2 MB. Send a smaller copy of the photograph.",
        ),
        (
            b"%PDF-1.7",
            "This is not a photograph that can be kept: send a JPEG, PNG, WebP or HEIC "
            "file.",
        ),
        (
            saved(picture())[:400],
            "The file is damaged or not whole, so it cannot be read as a photograph. "
            "Send it again from the camera or telephone.",
        ),
        (
            bomb(10_000, 10_000),
            "The picture has more dots than a photograph needs, so it is not opened. "
            "Send a smaller copy.",
        ),
        (saved(picture((8, 8))), "The picture is too small to be seen."),
        (moving(), "This is a moving picture. Send a still one."),
    ],
    ids=["empty", "large", "other", "damaged", "dots", "small", "moving"],
)
def test_a_refusal_says_why_by_its_field(data, words):
    with pytest.raises(ValidationError) as refused:
        read_photograph(data, field="photo")
    assert refused.value.message_dict == {"photo": [words]}


def test_what_is_taken_is_drawn_anew():
    large = read_photograph(saved(picture())).large
    assert Image.open(io.BytesIO(large)).format == "JPEG"
