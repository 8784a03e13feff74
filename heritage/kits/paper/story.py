"""Blocks into flowables, and into the tree of tags, in one walk."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import cached_property, singledispatchmethod
from itertools import takewhile
from typing import Any

from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import CondPageBreak, Flowable, KeepTogether
from reportlab.platypus import PageBreak as NewPage

from heritage.kits.drawing.file import from_svg
from heritage.kits.drawing.marks import Drawing, Text
from heritage.kits.paper import blocks, grids, panels
from heritage.kits.paper.fit import first_fitting, height, opened
from heritage.kits.paper.look import Look
from heritage.kits.paper.pictures import pixels, without_metadata
from heritage.kits.paper.tags import Node
from heritage.kits.paper.text import Item, Title, Words, address_lines
from heritage.kits.qr import qr_drawing
from heritage.kits.signs import sign

DEEPEST = 3
BULLET = "\N{EN DASH}"
# Four rows of labels go below the head of the first page.
LABELS_BESIDE, LABEL_MM, LABEL_CODE_MM, LABEL_SMALL_CODE_MM = 2, 53, 34, 24
# What a frame's own foot and rounding take of a page. [pt]
SLACK = 6.0
LONG = blocks.Ruled | blocks.Table | blocks.Facts


class Whole(KeepTogether):
    """Blocks on one page, measured with the room above the first of them.

    ReportLab measures as if they began a page, so that elsewhere the last line of
    what just fits would be left for the next page.
    """

    def wrap(self, aW: float, aH: float) -> tuple[float, float]:  # noqa: N803
        size: tuple[float, float] = super().wrap(aW, aH)
        if not getattr(getattr(self, "_frame", None), "_atTop", False):
            held: Any = self
            above = (one.getSpaceBefore() for one in held._content)
            held._H += next((space for space in above if space), 0)
        return size


@dataclass
class Story:
    """Turns a sheet's blocks into what ReportLab lays out.

    ``left`` is what the title leaves of the first page; 0 once that is begun. ``guess``
    is which of the closer looks the last page of its own was told in.
    """

    look: Look
    words: blocks.Words
    width: float
    height: float
    root: Node
    headings: int = 0
    depth: int = 0
    left: float = 0
    guess: int = 0

    @property
    def _tallest(self) -> float:
        """Leave room on the page for a figure's caption and some words."""
        return 0.62 * self.height

    def _readable(self, drawing: Drawing) -> float:
        """Give the width at which a drawing's smallest words are clear print."""
        sizes = [mark.size for mark in drawing.marks if isinstance(mark, Text)]
        return drawing.width * self.look.small / min(sizes) if sizes else 0

    def tell(self, content: Sequence[blocks.Block]) -> list[Flowable]:
        return [
            flowable
            for place, block in enumerate(content)
            for flowable in self._with_company(block, content[place + 1 :])
        ]

    def _with_company(
        self, block: blocks.Block, rest: Sequence[blocks.Block]
    ) -> list[Flowable]:
        """Keep a heading with a few rows of its table, not with the whole of it.

        So too where a line or two of words stand between them.
        """
        flowables = self._tell(block)
        after = rest[0] if rest else None
        between = list(takewhile(lambda one: isinstance(one, blocks.Para), rest))
        opens_long = isinstance(
            rest[len(between)] if rest[len(between) :] else None, LONG
        )
        if isinstance(block, blocks.Heading) and opens_long:
            flowables[-1].keepWithNext = int(bool(between))
            rows = 6.5 + 1.2 * len(between)
            flowables.insert(0, CondPageBreak(rows * self.look.row))
        if flowables and isinstance(after, blocks.PageBreak | None):
            # With nothing to keep with, ReportLab would look for it for ever.
            flowables[-1].keepWithNext = 0
        return flowables

    def _boxed(self, panel: panels.Panel) -> list[Flowable]:
        """Let a panel's words run on below it if no page can hold them inside."""
        below: list[Flowable] = []
        while panel.words and panel.wrap(self.width, self.height)[1] > self.height:
            below.insert(0, panel.words.pop())
        return [panel, *below]

    @singledispatchmethod
    def _tell(self, block: blocks.Block) -> list[Flowable]:
        raise TypeError(f"No such block: {block!r}")

    @_tell.register
    def _heading(self, block: blocks.Heading) -> list[Flowable]:
        # A level never skips: reading aids and bookmarks both need an unbroken tree.
        level = max(1, min(block.level, self.depth + 1, DEEPEST))
        self.depth = level
        self.headings += 1
        node = self.root.child(f"H{level + 1}")
        title = Title.of(block.text, self.look.heading(level), node)
        title.entry = (f"heading-{self.headings}", block.text, level)
        return [title]

    @_tell.register
    def _para(self, block: blocks.Para) -> list[Flowable]:
        node = self.root.child("P")
        return [Words.of(block.text, self.look.para, node, lead=block.lead)]

    @_tell.register
    def _big(self, block: blocks.Big) -> list[Flowable]:
        return [Words.of(block.text, self.look.big, self.root.child("P"))]

    @_tell.register
    def _steps(self, block: blocks.Steps) -> list[Flowable]:
        labels = [f"{block.first + k}" for k in range(len(block.items))]
        return self._list(block.items, labels, "Decimal")

    @_tell.register
    def _bullets(self, block: blocks.Bullets) -> list[Flowable]:
        return self._list(block.items, [BULLET] * len(block.items), "None")

    def _list(
        self, items: Sequence[str], labels: Sequence[str], numbering: str
    ) -> list[Flowable]:
        whole = self.root.child("L", numbering=numbering)
        body = self.look.body
        style = ParagraphStyle(
            "item", self.look.para, leftIndent=1.9 * body, spaceAfter=0.45 * body
        )
        entries: list[Flowable] = []
        for text, label in zip(items, labels, strict=True):
            node = whole.child("LI")
            label_node = node.child("Lbl")
            item = Item.of(text, style, node.child("LBody"))
            item.label, item.label_node = label, label_node
            entries.append(item)
        return entries

    @_tell.register
    def _caution(self, block: blocks.Caution) -> list[Flowable]:
        high, pad, space = self.look.panel
        mark = panels.Stamp(sign(block.kind), high)
        word = block.word or str(getattr(self.words, block.kind))
        group = self.root.child("Div")
        if self.look.close or not word:
            text, node = block.text, group.child("P")
            lead = f"{word}:" if word else ""
            run_on = [Words.of(text, self.look.para, node, lead=lead)]
            return self._boxed(panels.Panel(mark, run_on, pad=pad, space=space))
        strong = ParagraphStyle("word", self.look.heading(2), spaceBefore=0)
        lines = [
            Words.of(word, strong, group.child("P")),
            Words.of(block.text, self.look.para, group.child("P")),
        ]
        return self._boxed(panels.Panel(mark, lines, pad=pad, space=space))

    @_tell.register
    def _facts(self, block: blocks.Facts) -> list[Flowable]:
        if not block.pairs:
            return []
        return [grids.facts(block, self.root.child("Table"), self.look, self.width)]

    @_tell.register
    def _ruled(self, block: blocks.Ruled) -> list[Flowable]:
        node = self.root.child("Table")
        above = self._caption_above(block.caption, node)
        return [*above, grids.ruled(block, node, self.look, self.width)]

    @_tell.register
    def _table(self, block: blocks.Table) -> list[Flowable]:
        node = self.root.child("Table")
        above = self._caption_above(block.caption, node)
        return [*above, grids.table(block, node, self.look, self.width)]

    def _caption_above(self, caption: str, node: Node) -> list[Flowable]:
        if not caption:
            return []
        style = ParagraphStyle("table-caption", self.look.caption, spaceAfter=3)
        words = Words.of(caption, style, node.child("Caption"))
        return [CondPageBreak(4 * self.look.row), words]

    @_tell.register
    def _figure(self, block: blocks.Figure) -> list[Flowable]:
        width = max(block.width_mm * mm, self._readable(block.drawing))
        stamp = panels.Stamp(block.drawing, min(width, self.width))
        node = self.root.child("Figure", alt=block.alt or block.drawing.description)
        size = (stamp.width, stamp.height)
        plate = panels.Plate(size, stamp.paint, node, tallest=self._tallest)
        return self._with_caption(plate, block.caption)

    @_tell.register
    def _photo(self, block: blocks.Photo) -> list[Flowable]:
        jpeg = without_metadata(block.jpeg)
        wide, high = pixels(jpeg)
        size = (block.width_mm * mm, block.width_mm * mm * high / wide)
        node = self.root.child("Figure", alt=block.alt)
        plate = panels.Plate(
            size, panels.picture_paint(jpeg, size), node, tallest=self._tallest
        )
        return self._with_caption(plate, block.caption)

    @_tell.register
    def _photos(self, block: blocks.Photos) -> list[Flowable]:
        rows = range(0, len(block.photos), block.beside)
        return [
            panels.PlateRow(
                [
                    self._plate(one, block)
                    for one in block.photos[at : at + block.beside]
                ],
                block.beside,
            )
            for at in rows
        ]

    def _plate(
        self, photo: blocks.Photo, block: blocks.Photos
    ) -> tuple[panels.Plate, Words]:
        jpeg = without_metadata(photo.jpeg)
        wide, high = pixels(jpeg)
        # As wide as the line: a row gives each its share.
        size = (self.width, self.width * high / wide)
        group = self.root.child("Div")
        node = group.child("Figure", alt=photo.alt)
        paint = panels.picture_paint(jpeg, size)
        plate = panels.Plate(size, paint, node, tallest=block.high_mm * mm)
        return plate, Words.of(photo.caption, self.look.caption, group.child("P"))

    @_tell.register
    def _sketch(self, block: blocks.Sketch) -> list[Flowable]:
        stamp = panels.Stamp(from_svg(block.file), block.width_mm * mm)
        size = (stamp.width, stamp.height)
        node = self.root.child("Figure", alt=block.alt)
        plate = panels.Plate(size, stamp.paint, node, tallest=self._tallest)
        return self._with_caption(plate, block.caption)

    def _with_caption(self, plate: Flowable, caption: str) -> list[Flowable]:
        if not caption:
            return [plate]
        style = ParagraphStyle("under", self.look.caption, alignment=1)
        words = Words.of(caption, style, self.root.child("P"))
        plate.keepWithNext = 1
        return [plate, words]

    @_tell.register
    def _qr(self, block: blocks.QR) -> list[Flowable]:
        mark = panels.Stamp(qr_drawing(block.url), 32 * mm)
        alt = self.words.qr.format(address=block.url)
        node = self.root.child("Figure", alt=alt)
        strong = ParagraphStyle("label", self.look.heading(2), spaceBefore=0)
        pad, cell = 4, self.look.cell
        url = address_lines(block.url, cell, self.width - mark.width - 3 * pad)
        lines = [
            Words.of(block.label, strong, self.root.child("P")),
            Words.of(url, cell, self.root.child("P")),
        ]
        panel = panels.Panel(mark, lines, node=node, pad=pad, framed=False)
        return self._boxed(panel)

    @_tell.register
    def _labels(self, block: blocks.Labels) -> list[Flowable]:
        size = LABEL_SMALL_CODE_MM if block.many_words else LABEL_CODE_MM
        above = self.look.heading(3) if block.many_words else self.look.title
        panels_of = [self._label(label, above, size) for label in block.labels]
        beside, high = 1 if self.look.large else LABELS_BESIDE, LABEL_MM * mm
        return [
            panels.LabelRow(panels_of[at : at + beside], beside, high)
            for at in range(0, len(panels_of), beside)
        ]

    def _label(
        self, label: blocks.Label, above: ParagraphStyle, code_mm: float
    ) -> panels.Panel:
        mark = panels.Stamp(qr_drawing(label.url), code_mm * mm)
        group = self.root.child("Div")
        alt = self.words.qr.format(address=label.url)
        node = group.child("Figure", alt=alt)
        title = ParagraphStyle("label-title", above, spaceBefore=0, spaceAfter=4)
        lines = [Words.of(label.title, title, group.child("P"))]
        lines += [
            Words.of(line, self.look.cell, group.child("P")) for line in label.lines
        ]
        return panels.Panel(mark, lines, node=node, pad=5, framed=False, space=0)

    @_tell.register
    def _lines(self, block: blocks.Lines) -> list[Flowable]:
        lines = panels.WritingLines(block.count, self.look.row)
        if not block.label:
            return [lines]
        style = ParagraphStyle("lines-label", self.look.head, keepWithNext=1)
        return [Words.of(block.label, style, self.root.child("P")), lines]

    @_tell.register
    def _signature(self, block: blocks.Signature) -> list[Flowable]:
        signed = (
            f"{self.words.signed}: {block.label}" if block.label else self.words.signed
        )
        below = [
            Words.of(text, self.look.caption, self.root.child("P"))
            for text in (signed, self.words.date)
        ]
        return [panels.SignatureLine(below[0], below[1], 1.5 * self.look.row)]

    @_tell.register
    def _together(self, block: blocks.Together) -> list[Flowable]:
        flowables = self.tell(block.blocks)
        return [Whole(flowables)] if flowables else []

    @_tell.register
    def _beside(self, block: blocks.Beside) -> list[Flowable]:
        gap = 0.8 * self.look.body
        half = (self.width - gap) / 2
        with self._set(width=half):
            sides = self.tell(block.left), self.tell(block.right)
            # In a column nothing is parted, so that nothing has to be kept together.
            columns = [[*opened(side)] for side in sides]
        if max(height(one, half) for one in columns) > self.height - SLACK:
            return [*columns[0], *columns[1]]
        return [panels.columns(columns, half, gap)]

    @_tell.register
    def _one_page(self, block: blocks.OnePage) -> list[Flowable]:
        room, self.left = self.left or self.height, 0
        told = self._fitted(block.blocks, room - SLACK)
        return [CondPageBreak(room - SLACK), *told, NewPage()]

    def _fitted(self, content: Sequence[blocks.Block], room: float) -> list[Flowable]:
        """Tell in the largest look that goes into the room, or in the usual one."""
        looks, trials = self.look.closer, dict[int, _Trial]()

        def needs(number: int) -> float:
            trials[number] = self._trial(looks[number], content)
            return trials[number].high / room

        found = first_fitting(needs, [look.share for look in looks], self.guess)
        if found == len(looks):
            return self._taken(trials.get(0) or self._trial(self.look, content))
        self.guess, trial = found, trials[found]
        more = int((room - trial.high) // looks[found].row)
        filled = _with_rows(content, more)
        return self._taken(
            trial if filled == content else self._trial(looks[found], filled)
        )

    def _trial(self, look: Look, content: Sequence[blocks.Block]) -> "_Trial":
        """Tell beside the sheet, with tags that count on from the sheet's."""
        root = Node("Document", counts=self.root.counts)
        apart = replace(self, look=look, root=root)
        told = apart.tell(content)
        return _Trial(apart, told, self.width)

    def _taken(self, trial: "_Trial") -> list[Flowable]:
        """Take a trial over into the sheet."""
        self.root.kids += trial.story.root.kids
        self.headings, self.depth = trial.story.headings, trial.story.depth
        return trial.told

    @contextmanager
    def _set(self, **other: Any) -> Iterator[None]:
        """Tell what is inside in another width or look."""
        usual = {name: getattr(self, name) for name in other}
        vars(self).update(other)
        yield
        vars(self).update(usual)

    @_tell.register
    def _page_break(self, _: blocks.PageBreak) -> list[Flowable]:
        return [NewPage()]


@dataclass
class _Trial:
    """Blocks as told in one look, and what they need."""

    story: Story
    told: list[Flowable]
    width: float

    @cached_property
    def high(self) -> float:
        return height(self.told, self.width)


def _with_rows(content: Sequence[blocks.Block], more: int) -> Sequence[blocks.Block]:
    """Give the tables that fill a page so many more rows to write in."""
    if not any(isinstance(one, blocks.Ruled) and one.fill for one in content):
        return content
    return [
        replace(one, blank_rows=one.blank_rows + more)
        if isinstance(one, blocks.Ruled) and one.fill
        else one
        for one in content
    ]
