"""The words that travel inside a picture: what it shows, whose it is, who may use it.

They are written twice, as most programs read only one of the two: as XMP, a small XML
document in the property names of the IPTC Photo Metadata Standard, and as the older
IPTC datasets (IIM 4.2). Both go before the picture's own data, which is not touched:
nothing is drawn anew, so the words can follow every correction at once.
"""

import re
import struct
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Final
from xml.sax.saxutils import escape

_SPACES: Final = {
    "x": "adobe:ns:meta/",
    "rdf": "http://www.w3.org/1999/02/22-rdf-syntax-ns#",
    "dc": "http://purl.org/dc/elements/1.1/",
    "photoshop": "http://ns.adobe.com/photoshop/1.0/",
    "xmpRights": "http://ns.adobe.com/xap/1.0/rights/",
    "Iptc4xmpCore": "http://iptc.org/std/Iptc4xmpCore/1.0/xmlns/",
}
_NAMED: Final = "".join(f' xmlns:{key}="{url}"' for key, url in _SPACES.items())
_XMP_START: Final = (
    '<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>'
    f'<x:xmpmeta{_NAMED}><rdf:RDF><rdf:Description rdf:about="">'
)
_XMP_END: Final = '</rdf:Description></rdf:RDF></x:xmpmeta><?xpacket end="r"?>'
_XMP_HEAD: Final = b"http://ns.adobe.com/xap/1.0/\x00"
_IPTC_HEAD: Final = b"Photoshop 3.0\x00"
_START, _JFIF, _APP1, _APP13 = b"\xff\xd8", 0xE0, 0xE1, 0xED
_UTF8: Final = b"\x1b%G"
_NO_SIGNS: Final = re.compile("[\x00-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoWords:
    """What a picture says of itself; what is empty is left out.

    ``rights`` is the notice with the year, ``licence`` what others may do, and
    ``licence_url`` where that is written in full.
    """

    title: str
    caption: str
    alt_text: str
    creator: str
    credit: str
    rights: str
    licence: str
    licence_url: str
    source: str
    place: str
    keywords: tuple[str, ...]
    taken_on: date


def with_words(jpeg: bytes, words: PhotoWords) -> bytes:
    """Return a JPEG with its words inside, the picture's own data as it was.

    Raises
    ------
    ValueError
        If it is no JPEG.
    """
    return b"".join(with_segments(jpeg, segments(words)))


def with_segments(jpeg: bytes, said: bytes) -> tuple[bytes, bytes, bytes]:
    """Return a JPEG in three pieces, the words written by `segments` in the middle.

    Raises
    ------
    ValueError
        If it is no JPEG.
    """
    if not jpeg.startswith(_START):
        raise ValueError("no JPEG")
    at = _after_first_head(jpeg)
    return jpeg[:at], said, jpeg[at:]


def segments(words: PhotoWords) -> bytes:
    """Return the two parts of a JPEG that carry the words."""
    return _segment(_APP1, _XMP_HEAD + _xmp(words)) + _segment(_APP13, _iptc(words))


def _after_first_head(jpeg: bytes) -> int:
    """Return where the words go: after the JFIF head, which has to stand first."""
    if jpeg[2:4] != bytes((0xFF, _JFIF)):
        return 2
    (length,) = struct.unpack(">H", jpeg[4:6])
    return 4 + int(length)


def _segment(marker: int, data: bytes) -> bytes:
    return struct.pack(">BBH", 0xFF, marker, len(data) + 2) + data


def one_line(text: str) -> str:
    """Return one line without signs that XML cannot hold."""
    return " ".join(_NO_SIGNS.sub(" ", text).split())


def _xmp(words: PhotoWords) -> bytes:
    said = "".join(
        [
            *(_list(name, kind, texts) for name, kind, texts in _listed(words)),
            *(
                f"<{name}>{_text(text)}</{name}>"
                for name, text in _plain(words)
                if text
            ),
        ]
    )
    return f"{_XMP_START}{said}{_XMP_END}".encode()


def _text(text: str) -> str:
    return escape(one_line(text))


def _listed(words: PhotoWords) -> Iterator[tuple[str, str, tuple[str, ...]]]:
    """Give the properties that are lists: texts by language, names, keywords."""
    yield "dc:title", "Alt", (words.title,)
    yield "dc:description", "Alt", (words.caption,)
    yield "Iptc4xmpCore:AltTextAccessibility", "Alt", (words.alt_text,)
    yield "dc:creator", "Seq", (words.creator,)
    yield "dc:rights", "Alt", (words.rights,)
    yield "xmpRights:UsageTerms", "Alt", (words.licence,)
    yield "dc:subject", "Bag", words.keywords


def _plain(words: PhotoWords) -> Iterator[tuple[str, str]]:
    yield "photoshop:Credit", words.credit
    yield "photoshop:Source", words.source
    yield "photoshop:DateCreated", words.taken_on.isoformat()
    yield "xmpRights:WebStatement", words.licence_url
    yield "Iptc4xmpCore:Location", words.place


def _list(name: str, kind: str, texts: tuple[str, ...]) -> str:
    """Write a list of texts; nothing where all are empty."""
    language = ' xml:lang="x-default"' if kind == "Alt" else ""
    items = [f"<rdf:li{language}>{_text(text)}</rdf:li>" for text in texts if text]
    inside = f"<rdf:{kind}>{''.join(items)}</rdf:{kind}>"
    return f"<{name}>{inside}</{name}>" if items else ""


def _iptc(words: PhotoWords) -> bytes:
    """Return the datasets, each no longer than its standard allows (IIM 4.2, 6)."""
    day = f"{words.taken_on:%Y%m%d}"
    sets = [
        _dataset(1, 90, _UTF8),
        _dataset(2, 0, struct.pack(">H", 4)),
        *(
            _dataset(2, number, _cut(text, most))
            for number, most, text in (
                (5, 64, words.title),
                *((25, 64, keyword) for keyword in words.keywords),
                (55, 8, day),
                (80, 32, words.creator),
                (92, 32, words.place),
                (110, 32, words.credit),
                (115, 32, words.source),
                (116, 128, words.rights),
                (120, 2000, words.caption),
            )
            if text
        ),
    ]
    data = b"".join(sets)
    head = _IPTC_HEAD + b"8BIM" + struct.pack(">HHI", 0x0404, 0, len(data))
    return head + data + b"\x00" * (len(data) % 2)


def _dataset(record: int, number: int, data: bytes) -> bytes:
    return struct.pack(">BBBH", 0x1C, record, number, len(data)) + data


def _cut(text: str, most: int) -> bytes:
    """Return a text of at most so many bytes, and no half sign at its end."""
    return one_line(text).encode()[:most].decode(errors="ignore").encode()
