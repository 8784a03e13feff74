"""The structure of a sheet: a tree of tags, filled with marks while pages are drawn.

ReportLab writes no structure. So the tree is built from the blocks, in reading
order, before anything is drawn; each flowable carries its node and, when drawn,
wraps its ink in marked content under that node. Everything else is an artifact.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

from reportlab.pdfgen.canvas import Canvas


@dataclass(frozen=True)
class Mark:
    """One stretch of marked content: its page, from 1, and its number there."""

    page: int
    mcid: int


@dataclass
class Node:
    """One structure element."""

    tag: str
    alt: str = ""
    scope: str = ""
    numbering: str = ""
    kids: list["Node | Mark"] = field(default_factory=list)
    counts: dict[int, int] = field(default_factory=dict, repr=False)

    def child(
        self, tag: str, *, alt: str = "", scope: str = "", numbering: str = ""
    ) -> "Node":
        """Add an element under this one; all share the pages' counts."""
        node = Node(tag, alt, scope, numbering, counts=self.counts)
        self.kids.append(node)
        return node

    def mark(self, page: int) -> int:
        """Take the page's next number for a stretch of this element's content."""
        mcid = self.counts.get(page, 0)
        self.counts[page] = mcid + 1
        self.kids.append(Mark(page, mcid))
        return mcid

    @property
    def drawn(self) -> bool:
        return any(isinstance(kid, Mark) for kid in self.kids)


@contextmanager
def marked(canvas: Canvas, node: Node) -> Iterator[None]:
    """Wrap what is drawn inside as the node's content."""
    mcid = node.mark(canvas.getPageNumber())
    canvas.addLiteral(f"/{node.tag} <</MCID {mcid}>> BDC")
    yield
    canvas.addLiteral("EMC")


@contextmanager
def artifact(canvas: Canvas) -> Iterator[None]:
    """Wrap what is drawn inside as decoration: readers pass it over."""
    canvas.addLiteral("/Artifact BMC")
    yield
    canvas.addLiteral("EMC")
