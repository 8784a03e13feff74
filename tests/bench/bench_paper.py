"""How fast sheets are printed, and what that costs over the same pages bare.

Run by hand: ``python -m tests.bench.bench_paper``. Bare is ReportLab's own: the same
words in the same faces and sizes, parsed from its markup and laid out by it, each
tagged as ours are and sealed by the same hand, without a head or any look. Seconds are
the processor's, since they stand even where others use the machine; the best of a few
rounds counts. The promise: 25 pages a second, at no more than 1.5 times bare.
"""

from collections.abc import Callable
from html import escape
from io import BytesIO
from time import process_time
from typing import Any

from reportlab.lib.pagesizes import A4
from reportlab.platypus import PageBreak, Paragraph, SimpleDocTemplate, Table

from heritage.kits.fonts import BOLD, REGULAR, register
from heritage.kits.paper import blocks as paper
from heritage.kits.paper.look import Look
from heritage.kits.paper.seal import page_count, seal
from heritage.kits.paper.tags import Node, marked
from tests.kits.sheets import NAMES, make_sheet

ROUNDS, PAGES = 5, 20
LOOK = Look()
CAUTION = "Do not go into the water alone, tired or after dark."
STEPS = (
    "Take a handful below the bolls.",
    "Pull straight up, and knock the earth off against your boot.",
    "Lay the handful on the band with the roots level.",
)
WHY = (
    "The fibre runs from the root to the tip. Cut stems are shorter, and let water in "
    "at the cut, so that the ret is uneven. Everybody pulls, and nobody cuts. "
)


def page(number: int) -> list[paper.Block]:
    """Return a page of each thing that most sheets have."""
    return [
        paper.Heading(f"Part {number}"),
        paper.Para(2 * WHY, lead="Why?"),
        paper.Steps(STEPS),
        paper.Caution("prohibition", CAUTION),
        paper.Ruled(["Name", "In", "Out"], [(name, "", "") for name in NAMES]),
        paper.PageBreak(),
    ]


def ours(pages: int) -> bytes:
    return make_sheet(*[block for number in range(pages) for block in page(number)])


class _Bare(Paragraph):
    node: Node

    def draw(self) -> None:
        with marked(self.canv, self.node):
            super().draw()


def bare(pages: int) -> bytes:
    """Print the same words by ReportLab alone, with tags."""
    register()
    root, buffer = Node("Document"), BytesIO()

    def say(text: str, style: Any, tag: str = "P") -> _Bare:
        words = _Bare(text, style)
        words.node = root.child(tag)
        return words

    def told(number: int) -> list[Any]:
        rows = [["Name", "In", "Out"], *[[name, "", ""] for name in NAMES]]
        cells = [[say(escape(one), LOOK.cell, "TD") for one in row] for row in rows]
        lead = f'<font name="{BOLD}">Why?</font> {escape(2 * WHY)}'
        return [
            say(f"Part {number}", LOOK.heading(1), "H2"),
            say(lead, LOOK.para),
            *[say(escape(step), LOOK.para, "LI") for step in STEPS],
            say("Do not", LOOK.heading(2)),
            say(CAUTION, LOOK.para),
            Table(cells, style=[("FONTNAME", (0, 0), (-1, -1), REGULAR)]),
            PageBreak(),
        ]

    document = SimpleDocTemplate(buffer, pagesize=A4, invariant=1, pageCompression=1)
    document.build([one for number in range(pages) for one in told(number)])
    said = {"title": "Bare", "author": "", "subject": "", "lang": "en-GB"}
    return seal(buffer.getvalue(), root, said)


def speed(draw: Callable[[int], bytes], pages: int) -> float:
    """Return how many pages are printed in a second, at the best of a few rounds."""
    assert page_count(draw(pages)) == pages
    best = float("inf")
    for _ in range(ROUNDS):
        began = process_time()
        draw(pages)
        best = min(best, process_time() - began)
    return pages / best


def main() -> None:
    """Measure a long sheet and one of a page, ours and bare in turns."""
    for pages in (PAGES, 1):
        mine, least = speed(ours, pages), speed(bare, pages)
        print(
            f"{pages} pages: {mine:.0f} a second; {least / mine:.2f} times bare's time"
        )


if __name__ == "__main__":
    main()
