"""The words that came inside a photograph: caption, photographer and keywords.

Programs write them as XMP, as IPTC datasets or as EXIF; the first that says something
is taken. They come from anywhere, so they are cleaned, cut short and never trusted.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final
from xml.etree.ElementTree import Element, ParseError

from defusedxml.common import DefusedXmlException  # type: ignore[import-untyped]
from defusedxml.ElementTree import fromstring  # type: ignore[import-untyped]
from PIL import ExifTags, Image, ImageFile, IptcImagePlugin

CAPTION_LENGTH: Final = 300
NAME_LENGTH: Final = 120
MOST_KEYWORDS: Final = 20
_XMP_MOST: Final = 256 * 1024
_DC: Final = "{http://purl.org/dc/elements/1.1/}"
_LI: Final = "{http://www.w3.org/1999/02/22-rdf-syntax-ns#}li"
# IPTC IIM 4.2: 2:120 Caption/Abstract, 2:80 By-line, 2:25 Keywords.
_CAPTION, _BY_LINE, _KEYWORDS = (2, 120), (2, 80), (2, 25)
_NO_SIGNS: Final = re.compile("[\x00-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")


@dataclass(frozen=True, slots=True)
class Written:
    """What somebody wrote into a file; empty where nothing can be read."""

    caption: str = ""
    creator: str = ""
    keywords: tuple[str, ...] = ()


def read_words(image: ImageFile.ImageFile) -> Written:
    """Return the words inside an opened picture, cleaned and cut short."""
    xmp, iptc, exif = _xmp(image), _iptc(image), image.getexif()
    captions = [*_items(xmp, "description"), *_texts(iptc, _CAPTION)]
    captions.append(_clean(exif.get(ExifTags.Base.ImageDescription), CAPTION_LENGTH))
    creators = [*_items(xmp, "creator"), *_texts(iptc, _BY_LINE)]
    creators.append(_clean(exif.get(ExifTags.Base.Artist), NAME_LENGTH))
    keywords = _items(xmp, "subject") or _texts(iptc, _KEYWORDS)
    return Written(
        caption=next(filter(None, captions), "")[:CAPTION_LENGTH],
        creator=next(filter(None, creators), "")[:NAME_LENGTH],
        keywords=tuple(word[:NAME_LENGTH] for word in keywords[:MOST_KEYWORDS]),
    )


def _xmp(image: Image.Image) -> Element | None:
    """Return the file's XMP, if it is XML without tricks and of a sensible size."""
    data = image.info.get("xmp")
    if isinstance(data, str):
        data = data.encode()
    if not isinstance(data, bytes) or len(data) > _XMP_MOST:
        return None
    try:
        found: Element = fromstring(data.strip(b"\x00"))
    except (ParseError, DefusedXmlException, ValueError):
        return None
    return found


def _items(xmp: Element | None, name: str) -> list[str]:
    """Return the items of one Dublin Core property, in their order."""
    if xmp is None:
        return []
    return list(
        _filled(item.text for one in xmp.iter(_DC + name) for item in one.iter(_LI))
    )


def _iptc(image: ImageFile.ImageFile) -> dict[tuple[int, int], Any]:
    try:
        return IptcImagePlugin.getiptcinfo(image) or {}
    except (SyntaxError, ValueError, OSError, LookupError, TypeError):
        return {}


def _texts(iptc: dict[tuple[int, int], Any], key: tuple[int, int]) -> list[str]:
    said = iptc.get(key, [])
    return list(_filled(said if isinstance(said, list) else [said]))


def _filled(said: Any) -> Iterator[str]:
    for one in said:
        if words := _clean(one, CAPTION_LENGTH):
            yield words


def _clean(said: Any, most: int) -> str:
    """Return the words on one line, without signs that print nothing."""
    if isinstance(said, bytes):
        said = said.decode("utf-8", "replace")
    if not isinstance(said, str):
        return ""
    return " ".join(_NO_SIGNS.sub(" ", said).split())[:most]
