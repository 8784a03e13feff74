"""What a sheet is made of: plain, frozen blocks in reading order."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from heritage.kits.drawing.marks import Drawing
from heritage.kits.signs import Kind


@dataclass(frozen=True)
class Heading:
    """A heading and its bookmark: level 1 under the title, 2 and 3 below it."""

    text: str
    level: int = 1


@dataclass(frozen=True)
class Para:
    """A paragraph; ``lead`` is set in bold before it. Line breaks are kept."""

    text: str
    lead: str = ""


@dataclass(frozen=True)
class Big:
    """Words to be read across a yard: a poster's day and time."""

    text: str


@dataclass(frozen=True)
class Steps:
    """Numbered instructions, one action each."""

    items: Sequence[str]
    first: int = 1


@dataclass(frozen=True)
class Bullets:
    """Points in no order."""

    items: Sequence[str]


@dataclass(frozen=True)
class Caution:
    """A safety panel: mark, word and sentence.

    ``word`` replaces the kind's own word ("Warning", "Do not", "You must", …).
    """

    kind: Kind
    text: str
    word: str = ""


@dataclass(frozen=True)
class Facts:
    """Pairs of label and value."""

    pairs: Sequence[tuple[str, str]]


@dataclass(frozen=True)
class Ruled:
    """A table to write in: rows at least 9 mm high (12 mm in large print).

    ``rows`` come filled in, ``blank_rows`` follow; on a page of its own (`OnePage`)
    more of them ``fill`` it. ``widths`` are shares of the line. ``align`` has a letter
    for each column: l, c or r.
    """

    columns: Sequence[str]
    rows: Sequence[Sequence[str]] = ()
    blank_rows: int = 0
    fill: bool = False
    widths: Sequence[float] = ()
    align: str = ""
    caption: str = ""


@dataclass(frozen=True)
class Table:
    """A printed table, as tight as its words allow. ``total`` is a closing row."""

    columns: Sequence[str]
    rows: Sequence[Sequence[str]]
    widths: Sequence[float] = ()
    align: str = ""
    caption: str = ""
    total: Sequence[str] = ()


@dataclass(frozen=True)
class Figure:
    """A drawing; its own description speaks for it unless ``alt`` is given."""

    drawing: Drawing
    alt: str = ""
    caption: str = ""
    width_mm: float = 150


@dataclass(frozen=True)
class Sketch:
    """A drawing that is kept as an SVG file, with its alternative text."""

    file: Path
    alt: str
    caption: str = ""
    width_mm: float = 150


@dataclass(frozen=True)
class Photo:
    """A JPEG picture, upright, with its alternative text."""

    jpeg: bytes
    alt: str
    caption: str = ""
    width_mm: float = 150


@dataclass(frozen=True)
class Photos:
    """Pictures beside each other, each with its caption; a row stays on one page.

    The width is the line's; ``high_mm`` is the most that a picture may be high.
    """

    photos: Sequence[Photo]
    beside: int = 2
    high_mm: float = 60


@dataclass(frozen=True)
class QR:
    """A QR code with its address in print beside it."""

    url: str
    label: str


@dataclass(frozen=True)
class Label:
    """Words to be cut out and tied on, with a QR code beside them."""

    title: str
    lines: Sequence[str]
    url: str


@dataclass(frozen=True)
class Labels:
    """Labels to cut out, eight to a page, or four in large print.

    ``many_words`` leaves more of each to its lines, with a small title and code.
    """

    labels: Sequence[Label]
    many_words: bool = False


@dataclass(frozen=True)
class Lines:
    """Empty ruled lines for notes."""

    count: int
    label: str = ""


@dataclass(frozen=True)
class Signature:
    """A line to sign and a line to date."""

    label: str


@dataclass(frozen=True)
class Together:
    """Blocks that stay on one page if one page can hold them."""

    blocks: Sequence["Block"]


@dataclass(frozen=True)
class Beside:
    """Blocks in two columns, read from the left; below each other if too high."""

    left: Sequence["Block"]
    right: Sequence["Block"]


@dataclass(frozen=True)
class OnePage:
    """Blocks on a page of their own, set as close and small as that takes.

    Never under clear print; what is too long even so runs over in the usual size.
    """

    blocks: Sequence["Block"]


@dataclass(frozen=True)
class PageBreak:
    """Start a new page."""


Block = (
    Heading
    | Para
    | Big
    | Steps
    | Bullets
    | Caution
    | Facts
    | Ruled
    | Table
    | Figure
    | Photo
    | Photos
    | Sketch
    | QR
    | Labels
    | Lines
    | Signature
    | Together
    | Beside
    | OnePage
    | PageBreak
)


@dataclass(frozen=True)
class Footer:
    """What stands at the foot of every page beside the page number."""

    owner: str = ""
    version: str = ""
    printed_from: str = ""


@dataclass(frozen=True)
class Words:
    """The words the kit prints of its own accord."""

    # With {page} and {pages}.
    page: str
    # With {address}.
    printed_from: str
    qr: str
    warning: str
    prohibition: str
    mandatory: str
    safe: str
    first_aid: str
    signed: str
    date: str
