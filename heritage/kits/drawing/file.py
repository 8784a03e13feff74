"""A drawing that is kept as an SVG file, on its way to paper.

The same file is shown on the page. There a colour is the theme's, by its role
(``var(--skin, #e8d3ae)``); paper takes the one that stands beside it.
"""

import re
from dataclasses import dataclass
from functools import cache, cached_property
from io import BytesIO
from pathlib import Path
from typing import Any, Final

from reportlab.graphics import renderPDF
from reportlab.graphics.shapes import Drawing as Shapes
from reportlab.graphics.shapes import Group
from reportlab.pdfgen.canvas import Canvas
from svglib.svglib import NodeTracker, SvgRenderer, load_svg_file, node_name

from heritage.kits.drawing.tones import TONES

# What a mark takes from what it stands in.
LOOK: Final = (
    *("fill", "fill-opacity", "fill-rule"),
    *("stroke", "stroke-width", "stroke-opacity", "stroke-dasharray"),
    *("stroke-linecap", "stroke-linejoin"),
)
SHOWN: Final = dict[tuple[object, ...], list[Any]]()
ROLE: Final = re.compile(r"var\(--[a-z-]+,\s*(#[0-9a-fA-F]{6})\)")


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


class _Reader(SvgRenderer):
    """Reads what drawings show most often (a hand, a beet) once for all of them.

    svglib reads it where it is defined, for nothing, and again at each ``use``.
    """

    @cached_property
    def defined(self) -> dict[str, list[Any]]:
        """What the file shows more than once, as it is written there."""
        return {}

    def renderNode(  # noqa: N802
        self, node: NodeTracker, parent: Group | None = None
    ) -> None:
        if node.parent is not None and node_name(node.parent) == "defs":
            self.definitions[node.get("id")] = node
            marks = node.etree_element.iter()
            self.defined[f"#{node.get('id')}"] = [
                (one.tag, *one.attrib.items()) for one in marks
            ]
        else:
            super().renderNode(node, parent)

    def renderUse(  # noqa: N802
        self, node: NodeTracker, group: Group | None = None, clipping: Any = None
    ) -> Group:
        drawn = Group() if group is None else group
        look = (self.attrConverter.findAttr(node, name) for name in LOOK)
        key = (*self.defined[node.get("href")], *look)
        if key in SHOWN:
            drawn.contents = SHOWN[key]
            self.apply_node_attr_to_group(node, drawn)
        else:
            super().renderUse(node, drawn, clipping)
            SHOWN[key] = drawn.contents
        return drawn


@cache
def from_svg(file: Path) -> Kept:
    """Read a drawing, once for all the pages that it goes on.

    Raises
    ------
    ValueError
        If the file holds no SVG.
    """
    text = ROLE.sub(r"\1", file.read_text(encoding="utf-8"))
    inked = text.replace("currentColor", TONES["ink"].colour)
    root = load_svg_file(BytesIO(inked.encode()))
    if root is None:
        raise ValueError(f"{file.name} holds no drawing.")
    drawing = _Reader(file.name).render(root)
    return Kept(drawing.width, drawing.height, _strokes(drawing))


def _strokes(drawing: Shapes) -> str:
    """Return what ReportLab writes for its shapes, but the letters that it gets ready.

    A drawing has none, and they would name a face that the sheet does not embed.
    """
    canvas: Any = Canvas(BytesIO(), pageCompression=0, invariant=1)
    renderPDF.draw(drawing, canvas, 0, 0)
    return "\n".join(line for line in canvas._code if not line.startswith("BT"))
