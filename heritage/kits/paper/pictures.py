"""JPEG pictures on their way to paper."""

from io import BytesIO
from typing import Any, Final

from reportlab.lib.utils import ImageReader

START, SCAN = b"\xff\xd8", 0xDA
# APP1 holds Exif and XMP, APP13 holds IPTC, 0xFE is a comment: a printed picture
# must not carry where it was taken. APP0, APP2 (colour profile) and APP14 stay.
PRIVATE: Final = frozenset({*range(0xE1, 0xF0), 0xFE} - {0xE2, 0xEE})


def without_metadata(jpeg: bytes) -> bytes:
    """Drop a JPEG's private segments; the picture itself is untouched.

    Raises
    ------
    ValueError
        If the bytes are not a JPEG.
    """
    if not jpeg.startswith(START):
        raise ValueError("Only JPEG pictures go on a sheet.")
    kept, at = [START], 2
    while at + 4 <= len(jpeg) and jpeg[at] == 0xFF and jpeg[at + 1] != SCAN:
        end = at + 2 + int.from_bytes(jpeg[at + 2 : at + 4])
        if jpeg[at + 1] not in PRIVATE:
            kept.append(jpeg[at:end])
        at = end
    return b"".join([*kept, jpeg[at:]])


class Picture(ImageReader):
    """A JPEG that goes into a sheet as it is, and is told from others by its bytes.

    ReportLab takes each picture apart to its dots, only to know it when it comes again:
    that took nine tenths of the time of a sheet of pictures.
    """

    def __init__(self, jpeg: bytes) -> None:
        super().__init__(BytesIO(jpeg))
        self._data, self._dataA = jpeg, None

    def getRGBData(self) -> Any:  # noqa: N802
        return self._data


def pixels(jpeg: bytes) -> tuple[int, int]:
    """Give a picture's width and height."""
    wide, high = ImageReader(BytesIO(jpeg)).getSize()
    return int(wide), int(high)
