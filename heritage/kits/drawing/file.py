"""A drawing that is kept as an SVG file, on its way to paper.

The same file is shown on the page. There a colour is the theme's, by its role
(``var(--skin, #e8d3ae)``); paper takes the one that stands beside it. What is read is
what our drawings are made of: paths, circles and boxes, in groups and used again. A
library reads any SVG, but took 16 ms for each, longer than printing the whole sheet.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from math import cos, radians, sin
from pathlib import Path
from typing import Final
from xml.etree.ElementTree import Element, ParseError

from defusedxml.ElementTree import fromstring  # type: ignore[import-untyped]
from reportlab.lib.rl_accel import fp_str
from reportlab.pdfgen.canvas import Canvas

from heritage.kits.drawing.path import page_path
from heritage.kits.drawing.tones import TONES

ROLE: Final = re.compile(r"var\(--[a-z-]+,\s*(#[0-9a-fA-F]{6})\)")
MOVE: Final = re.compile(r"(\w+)\(([^)]*)\)")
SVG: Final = "{http://www.w3.org/2000/svg}"
GROUPS: Final = {"svg", "g", "use"}
# What a mark takes from the groups that it is in, and what is where none says.
USUAL: Final = {
    "fill": "#000000", "stroke": "none", "stroke-width": "1",
    "stroke-linecap": "butt", "stroke-linejoin": "miter", "stroke-dasharray": "none",
}  # fmt: skip
SIZES: Final = {
    "circle": ("cx", "cy", "r"),
    "rect": ("x", "y", "width", "height", "rx"),
}
ENDS: Final = {"butt": 0, "miter": 0, "round": 1, "square": 2, "bevel": 2}
Look = dict[str, str]


@dataclass(frozen=True)
class Kept:
    """A drawing as a page takes it: its size, and its strokes in PDF's own words."""

    width: float
    height: float
    strokes: str

    def paint(self, canvas: Canvas, x: float, y: float, *, width: float) -> None:
        """Paint it with its lower left corner at a point, as wide as asked."""
        factor = width / self.width
        canvas.saveState()
        canvas.transform(factor, 0, 0, factor, x, y)
        edge = canvas.beginPath()
        edge.rect(0, 0, self.width, self.height)
        canvas.clipPath(edge, stroke=0, fill=0)
        canvas.addLiteral(self.strokes)
        canvas.restoreState()


@cache
def from_svg(file: Path) -> Kept:
    """Read a drawing, once for all the pages that it goes on.

    Raises
    ------
    ValueError
        If the file holds no SVG, or what our drawings do without.
    """
    text = ROLE.sub(r"\1", file.read_text(encoding="utf-8"))
    try:
        root = fromstring(text.replace("currentColor", TONES["ink"].colour))
        width, height = map(float, root.attrib["viewBox"].split()[2:])
        named = {f"#{one.get('id')}": one for one in root.iter() if one.get("id")}
        strokes = " ".join(_drawn(root, USUAL, named))
    except (ParseError, KeyError, ValueError) as fault:
        raise ValueError(f"{file.name} holds no drawing: {fault}") from fault
    # The file counts from the top, the page from the foot.
    return Kept(width, height, f"1 0 0 -1 0 {fp_str(height)} cm {strokes}")


def _drawn(element: Element, above: Look, named: dict[str, Element]) -> Iterator[str]:
    """Give what a page's content says to draw an element and all in it."""
    kind = element.tag.removeprefix(SVG)
    if kind == "defs":
        return
    look = above | {name: element.get(name, above[name]) for name in above}
    moves = [*_moved(element.get("transform", ""))]
    yield from ["q", *moves] if moves else []
    if kind not in GROUPS:
        yield _inked(page_path(_path(kind, element)), look)
    inside = [named[element.attrib["href"]]] if kind == "use" else element
    for one in inside:
        yield from _drawn(one, look, named)
    if moves:
        yield "Q"


def _moved(transform: str) -> Iterator[str]:
    for name, numbers in MOVE.findall(transform):
        first, *more = map(float, numbers.replace(",", " ").split())
        if name == "translate":
            yield _matrix(1, 0, 0, 1, first, *(more or [0]))
        elif name == "scale":
            yield _matrix(first, 0, 0, *(more or [first]), 0, 0)
        elif name == "rotate":
            x, y = more or (0, 0)
            one, other = cos(radians(first)), sin(radians(first))
            yield _matrix(one, other, -other, one, x, y)
            yield _matrix(1, 0, 0, 1, -x, -y)
        else:
            raise ValueError(f"Paper knows no {name}.")


def _matrix(*numbers: float) -> str:
    return f"{fp_str(*numbers)} cm"


def _path(kind: str, element: Element) -> str:
    """Return the path that a mark is."""
    if kind == "path":
        return element.attrib["d"]
    sizes = {name: float(element.get(name, 0)) for name in SIZES[kind]}
    if kind == "circle":
        cx, cy, r = sizes.values()
        half = f"a{r} {r} 0 1 0"
        return f"M{cx - r} {cy}{half} {2 * r} 0{half} {-2 * r} 0Z"
    return _box(*sizes.values())


def _box(x: float, y: float, width: float, height: float, rx: float) -> str:
    """Return the path of a box, its corners round."""
    across, down = min(rx, width / 2), min(rx, height / 2)
    corner, wide, high = (
        f"a{across} {down} 0 0 1",
        width - 2 * across,
        height - 2 * down,
    )
    return (
        f"M{x + across} {y}l{wide} 0{corner} {across} {down}l0 {high}"
        f"{corner} {-across} {down}l{-wide} 0{corner} {-across} {-down}l0 {-high}"
        f"{corner} {across} {-down}Z"
    )


def _inked(path: str, look: Look) -> str:
    """Fill a path, go round it, or both."""
    fill, stroke = look["fill"], look["stroke"]
    said = []
    if fill != "none":
        said.append(f"{_colour(fill)} rg")
    if stroke != "none":
        dashes = "" if look["stroke-dasharray"] == "none" else look["stroke-dasharray"]
        said.append(
            f"{_colour(stroke)} RG {look['stroke-width']} w [{dashes}] 0 d "
            f"{ENDS[look['stroke-linecap']]} J {ENDS[look['stroke-linejoin']]} j"
        )
    painted = {(True, True): "B", (True, False): "f", (False, True): "S"}
    return " ".join([*said, path, painted.get((fill != "none", stroke != "none"), "n")])


@cache
def _colour(code: str) -> str:
    return fp_str(*(int(code[at : at + 2], 16) / 255 for at in (1, 3, 5)))
