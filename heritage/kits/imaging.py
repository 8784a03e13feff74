"""Photographs: untrusted bytes in, clean pictures out.

A file is believed only when its first bytes and its decoder agree on one of the
kinds allowed. What comes out is drawn anew from the pixels alone, so nothing that
was hidden beside them (where it was taken, by whom, with what) comes with it. What
somebody wrote into the file, its caption and its photographer, is read and offered.
"""

import hashlib
import io
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import Final

import pillow_heif
from PIL import ExifTags, Image, ImageCms, ImageOps

from heritage.kits.photo_read import Written, read_words

pillow_heif.register_heif_opener(thumbnails=False)

LARGE: Final = 2048
SMALL: Final = 640
# For two beside each other on a phone; made of the small one when it is asked for.
TINY: Final = 320
# Twice the large one's side, so that a trimmed picture keeps its detail.
WORKED_ON: Final = 2 * LARGE
QUALITY: Final = 85
# What is seen small on a phone, which waits for it: half the bytes.
SMALL_QUALITY: Final = 62
LEAST_SIDE: Final = 32
JPEG_MAY_BE: Final = 2
# Squares over a picture that lies; over one that stands the other way round.
GRID: Final = (16, 12)
# Each of them parted in nine, for a small face; these are numbered on from `FINE`.
FINER: Final = 3
FINE: Final = GRID[0] * GRID[1]
# Our own limits are asked before a dot is decoded: see `_check`.
Image.MAX_IMAGE_PIXELS = None

# What each kind is called by the decoder.
DECODERS: Final = {"jpeg": "JPEG", "png": "PNG", "webp": "WEBP", "heic": "HEIF"}
_HEIC_BRANDS: Final = {b"heic", b"heix", b"heim", b"heis", b"mif1"}
_SRGB: Final = ImageCms.createProfile("sRGB")


class WhyRefused(StrEnum):
    """Why a file is not taken."""

    EMPTY = "empty"
    TOO_LARGE = "too_large"
    NO_PHOTOGRAPH = "no_photograph"
    DAMAGED = "damaged"
    TOO_MANY_DOTS = "too_many_dots"
    TOO_SMALL = "too_small"
    MOVING = "moving"


class Refused(ValueError):  # noqa: N818 - it names what happened to the file
    """A file that is not taken, with why."""

    def __init__(self, why: WhyRefused) -> None:
        super().__init__(why.value)
        self.why = why


@dataclass(frozen=True, slots=True)
class Prepared:
    """A photograph made ready: two clean JPEGs, and what was learnt of it.

    ``width`` and ``height`` are those of ``large``, upright.
    """

    kind: str
    width: int
    height: int
    large: bytes
    small: bytes
    sha256: str
    taken_on: date | None
    written: Written


def kind_of(head: bytes) -> str:
    """Name the kind a file's first bytes claim: "jpeg", "png", "webp", "heic" or ""."""
    if head.startswith(b"\xff\xd8\xff"):
        return "jpeg"
    if head.startswith(b"\x89PNG\r\n\x1a\n"):
        return "png"
    if head[:4] == b"RIFF" and head[8:12] == b"WEBP":
        return "webp"
    if head[4:8] == b"ftyp" and head[8:12] in _HEIC_BRANDS:
        return "heic"
    return ""


def ending_of(head: bytes) -> str:
    """Return the usual ending of a file's name, by its first bytes."""
    kind = kind_of(head)
    return {"jpeg": "jpg", "": "bin"}.get(kind, kind)


def prepare(data: bytes, *, most_bytes: int, most_pixels: int) -> Prepared:
    """Check a photograph and draw it anew, large and small.

    Raises
    ------
    Refused
        If it is empty, too large, of no kind allowed, damaged or moving.
    """
    kind = _believable_kind(data, most_bytes)
    with _refusing_damage():
        image = Image.open(io.BytesIO(data), formats=[DECODERS[kind]])
        _check(image, kind, most_pixels)
        taken_on, written = _day_taken(image), read_words(image)
        upright = _drawn_anew(image)
    large = _within(upright, LARGE)
    return Prepared(
        kind=kind,
        width=large.width,
        height=large.height,
        large=_jpeg(large),
        small=_small(large, SMALL),
        sha256=hashlib.sha256(data).hexdigest(),
        taken_on=taken_on,
        written=written,
    )


@dataclass(frozen=True, slots=True)
class Adjusted:
    """How copies differ from their original.

    ``turned`` is in degrees clockwise; ``trimmed`` in percent off the left, top,
    right and bottom of the turned picture; ``hidden`` are squares of `GRID` by their
    number, row after row, of which no detail is left.
    """

    turned: int = 0
    trimmed: tuple[int, int, int, int] = (0, 0, 0, 0)
    hidden: tuple[int, ...] = ()


def grid_of(width: int, height: int) -> tuple[int, int]:
    """Return the columns and rows of squares that lie over a picture."""
    return GRID if width >= height else (GRID[1], GRID[0])


def closer(part: int, width: int, height: int) -> list[int]:
    """Return the fine squares of a ninth of a picture, row after row.

    ``part`` counts the ninths from 0, row after row, as the squares are.
    """
    columns, rows = grid_of(width, height)
    top, left = (part // FINER) * rows, (part % FINER) * columns
    return [
        FINE + (top + row) * columns * FINER + left + column
        for row in range(rows)
        for column in range(columns)
    ]


def redraw(data: bytes, adjusted: Adjusted) -> tuple[int, int, bytes, bytes]:
    """Draw the copies of a photograph anew: width, height, the large and the small.

    Raises
    ------
    Refused
        If the stored file can no longer be read.
    """
    kind = _believable_kind(data, len(data))
    with _refusing_damage():
        image = Image.open(io.BytesIO(data), formats=[DECODERS[kind]])
        upright = _drawn_anew(image).rotate(-adjusted.turned, expand=True)
    large = _within(_trimmed(upright, adjusted.trimmed), LARGE)
    for number in adjusted.hidden:
        _hide(large, number)
    return large.width, large.height, _jpeg(large), _small(large, SMALL)


def tiny(jpeg: bytes) -> bytes:
    """Return a copy of ours made smaller yet.

    Raises
    ------
    Refused
        If the stored copy can no longer be read.
    """
    with _refusing_damage():
        image = Image.open(io.BytesIO(jpeg), formats=["JPEG"])
        image.draft("RGB", (TINY, TINY))
        return _small(image, TINY)


def _trimmed(image: Image.Image, by: tuple[int, int, int, int]) -> Image.Image:
    left, top, right, bottom = (percent / 100 for percent in by)
    width, height = image.size
    return image.crop(
        (
            round(width * left),
            round(height * top),
            round(width * (1 - right)),
            round(height * (1 - bottom)),
        )
    )


def _hide(image: Image.Image, number: int) -> None:
    """Leave one colour of a square: what is averaged away cannot come back.

    A fine square takes that of the whole one it lies in, so that many of them
    together tell no more than one.
    """
    columns, rows = grid_of(image.width, image.height)
    by = 1 if number < FINE else FINER
    row, column = divmod(number if by == 1 else number - FINE, columns * by)
    box = _box(image, column, row, columns * by, rows * by)
    whole = _box(image, column // by, row // by, columns, rows)
    one = image.crop(whole).resize((1, 1), Image.Resampling.BOX)
    image.paste(one.resize((box[2] - box[0], box[3] - box[1])), box)


def _box(
    image: Image.Image, column: int, row: int, columns: int, rows: int
) -> tuple[int, int, int, int]:
    return (
        image.width * column // columns,
        image.height * row // rows,
        image.width * (column + 1) // columns,
        image.height * (row + 1) // rows,
    )


def _believable_kind(data: bytes, most_bytes: int) -> str:
    if not data:
        raise Refused(WhyRefused.EMPTY)
    if len(data) > most_bytes:
        raise Refused(WhyRefused.TOO_LARGE)
    kind = kind_of(data[:16])
    if not kind:
        raise Refused(WhyRefused.NO_PHOTOGRAPH)
    return kind


@contextmanager
def _refusing_damage() -> Iterator[None]:
    """Turn every way in which a decoder gives up into one of two answers."""
    try:
        yield
    except Refused:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise Refused(WhyRefused.TOO_MANY_DOTS) from error
    except (OSError, ValueError, SyntaxError, EOFError, ArithmeticError) as error:
        raise Refused(WhyRefused.DAMAGED) from error
    except (RuntimeError, TypeError, LookupError, MemoryError) as error:
        # A decoder that is fed nonsense may stumble over any of these.
        raise Refused(WhyRefused.DAMAGED) from error


def _check(image: Image.Image, kind: str, most_pixels: int) -> None:
    """Refuse by what the file's head says, before a single dot is decoded."""
    width, height = image.size
    # A JPEG is read at a fraction of its size, so it may have more.
    most = most_pixels * JPEG_MAY_BE if kind == "jpeg" else most_pixels
    if width * height > most:
        raise Refused(WhyRefused.TOO_MANY_DOTS)
    if min(width, height) < LEAST_SIDE:
        raise Refused(WhyRefused.TOO_SMALL)
    # A telephone's JPEG or HEIC may hold more pictures; the first is the one meant.
    if kind in {"png", "webp"} and getattr(image, "n_frames", 1) > 1:
        raise Refused(WhyRefused.MOVING)


def _day_taken(image: Image.Image) -> date | None:
    """Return the day the camera wrote down, if it wrote a day that can be read."""
    exif = image.getexif()
    written = exif.get_ifd(ExifTags.IFD.Exif).get(
        ExifTags.Base.DateTimeOriginal
    ) or exif.get(ExifTags.Base.DateTime)
    try:
        return datetime.strptime(str(written)[:10], "%Y:%m:%d").date()  # noqa: DTZ007
    except ValueError:
        return None


def _drawn_anew(image: Image.Image) -> Image.Image:
    """Return the picture upright, in plain red, green and blue, and nothing else."""
    profile = image.info.get("icc_profile")
    # A JPEG may be decoded at half or quarter size straight away: quicker, less room.
    image.draft("RGB", (LARGE, LARGE))
    image.load()
    if image.mode in {"L", "RGB", "RGBA"}:
        # Before anything else is made of it, since each step takes another copy.
        image.thumbnail((WORKED_ON, WORKED_ON), reducing_gap=2)
    plain = _flattened(_in_srgb(ImageOps.exif_transpose(image), profile))
    clean = Image.new("RGB", plain.size)
    clean.paste(plain)
    return clean


def _in_srgb(image: Image.Image, profile: bytes | None) -> Image.Image:
    """Bring a camera's own colours to those of a page, where it says what they are."""
    if not profile or image.mode not in {"RGB", "RGBA"}:
        return image
    try:
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        turned = ImageCms.profileToProfile(image, source, _SRGB)
    except (ImageCms.PyCMSError, OSError):
        # A broken profile spoils the tint, not the picture.
        return image
    return turned or image


def _flattened(image: Image.Image) -> Image.Image:
    """Lay a picture with clear parts on white; bring any other to three colours."""
    if image.mode.startswith("I"):
        # Sixteen bits of grey: keep the upper eight.
        image = image.convert("I").point(lambda value: value / 256).convert("L")
    if not image.has_transparency_data:
        return image.convert("RGB")
    clear = image.convert("RGBA")
    white = Image.new("RGBA", clear.size, "white")
    return Image.alpha_composite(white, clear).convert("RGB")


def _within(image: Image.Image, longest: int) -> Image.Image:
    smaller = image.copy()
    smaller.thumbnail((longest, longest), Image.Resampling.LANCZOS)
    return smaller


def _small(image: Image.Image, longest: int) -> bytes:
    return _jpeg(_within(image, longest), SMALL_QUALITY)


def _jpeg(image: Image.Image, quality: int = QUALITY) -> bytes:
    buffer = io.BytesIO()
    image.save(buffer, "JPEG", quality=quality, optimize=True, progressive=True)
    return buffer.getvalue()
