"""Tables: to write in, to read, and pairs of facts."""

from collections.abc import Iterable, Iterator, Sequence
from copy import copy
from dataclasses import dataclass
from typing import Any, Final, Literal, cast

from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Table
from reportlab.platypus.tables import CellStyle, TableRenderCB

from heritage.kits.fonts import REGULAR
from heritage.kits.paper import blocks
from heritage.kits.paper.look import HAIR, HAIRLINE, INK, RULE, Look
from heritage.kits.paper.tags import Node, artifact
from heritage.kits.paper.text import Words

# A row higher than this is parted; a lower one goes whole to the next page. [pt]
TALL_ROW: Final = 400.0
# Room beside the words of a cell, and what rounding may take of it. [pt]
SIDE_PAD: Final = 5
SLACK: Final = 0.1
ALIGN: Final[dict[str, Literal[0, 1, 2]]] = {"l": 0, "c": 1, "r": 2}
Row = Sequence[str]


class Grid(Table):
    """A table that parts a row only where no page could hold it.

    Otherwise the foot of a page would show a head with a sliver of its next row.
    """

    def _splitRows(self, availHeight: float, doInRowSplit: int = 0) -> Any:  # noqa: N802, N803
        grid = cast(Any, self)
        first = grid._rowHeights[self.repeatRows : self.repeatRows + 1]
        if doInRowSplit and first and first[0] < TALL_ROW:
            return []
        if doInRowSplit:
            # ReportLab changes the styles of a row that it parts.
            grid._cellStyles = [[*map(copy, row)] for row in grid._cellStyles]
        return super()._splitRows(availHeight, doInRowSplit)  # type: ignore[misc]


class _Artifacts:
    """Marks a table's grounds and rules as decoration while it is drawn."""

    def __call__(self, grid: Grid, event: str, *details: Any) -> None:
        if event in {"startBG", "startLines"}:
            self.open = artifact(grid.canv)
            self.open.__enter__()
        elif event in {"endBG", "endLines"}:
            self.open.__exit__(None, None, None)


def _widths(
    shares: Sequence[float],
    data: Sequence[Sequence[Words | tuple[()]]],
    count: int,
    width: float,
) -> list[float]:
    """Share the line among the columns, and break no word that all have room for."""
    shares = shares or [1.0] * count
    if len(shares) != count:
        raise ValueError(f"{count} columns need {count} widths, not {len(shares)}.")
    asked = [width * share / sum(shares) for share in shares]
    least = [max(map(_least, cells)) for cells in zip(*data, strict=True)]
    if sum(least) > width:
        return asked
    # What a column lacks for its longest word, those give that have more than theirs.
    lacking = sum(max(0, need - room) for need, room in zip(least, asked, strict=True))
    spare = sum(max(0, room - need) for need, room in zip(least, asked, strict=True))
    give = lacking / spare if spare else 0
    return [
        max(need, room - give * (room - need))
        for need, room in zip(least, asked, strict=True)
    ]


def _least(cell: Words | tuple[()]) -> float:
    """Return the width that a cell's longest word needs, with its pads."""
    return cell.minWidth() + 2 * SIDE_PAD + SLACK if isinstance(cell, Words) else 0


def _aligned(style: ParagraphStyle, align: str) -> list[ParagraphStyle]:
    """Return a column's style for each letter."""
    styles = {
        letter: ParagraphStyle(f"{style.name}-{letter}", style, alignment=ALIGN[letter])
        for letter in set(align) - {"l"}
    }
    return [styles.get(letter, style) for letter in align]


def _letters(align: str, count: int) -> str:
    if align and (len(align) != count or set(align) - set(ALIGN)):
        raise ValueError(f"{count} columns need {count} letters of l, c and r.")
    return align or "l" * count


def _check(rows: Sequence[Row], count: int) -> None:
    for row in rows:
        if len(row) != count:
            raise ValueError(f"A row of {len(row)} does not fit {count} columns.")


def _head(columns: Row, align: str, node: Node, look: Look) -> list[Words]:
    row = node.child("TR")
    cells = []
    for text, style in zip(columns, _aligned(look.head, align), strict=True):
        head = Words.of(text, style, row.child("TH", scope="Column"))
        head.once = True
        cells.append(head)
    return cells


def _body(
    rows: Iterable[Row], align: str, node: Node, style: ParagraphStyle
) -> Iterator[list[Words | tuple[()]]]:
    """Make rows. An empty cell draws nothing but keeps its place in the tree."""
    styles = _aligned(style, align)
    for cells in rows:
        row = node.child("TR")
        places = [row.child("TD") for _ in cells]
        yield [
            Words.of(text, look, place) if text else ()
            for text, look, place in zip(cells, styles, places, strict=True)
        ]


@dataclass(frozen=True)
class _Rows:
    """A table's rows: how many of them are its head, and how low the others may be."""

    data: list[list[Any]]
    heads: int = 0
    least: float | None = None
    across: str = "MIDDLE"

    @property
    def heights(self) -> list[float] | None:
        if not self.least:
            return None
        below = len(self.data) - self.heads
        return [0] * self.heads + [self.least] * below

    def styles(self, look: Look) -> list[list[CellStyle]]:
        """Return each cell's style: one for all of the head, one for all others."""
        head, body = _cell_style("BOTTOM", look), _cell_style(self.across, look)
        return [
            [head if number < self.heads else body] * len(row)
            for number, row in enumerate(self.data)
        ]


def _cell_style(across: str, look: Look) -> CellStyle:
    style: Any = CellStyle("cell")
    # Or an empty cell would name a face that is in nobody's file.
    style.fontname, style.valign = REGULAR, across
    style.leftPadding = style.rightPadding = SIDE_PAD
    style.topPadding, style.bottomPadding = look.cell_pads
    return cast(CellStyle, style)


def _grid(
    rows: _Rows, widths: list[float], rules: list[tuple[Any, ...]], look: Look
) -> Grid:
    before, after = look.table_gaps
    return Grid(
        rows.data,
        colWidths=widths,
        minRowHeights=rows.heights,
        repeatRows=rows.heads,
        splitInRow=1,
        cellStyles=rows.styles(look),
        style=rules,
        # Any callable will do.
        renderCB=cast(TableRenderCB, _Artifacts()),
        spaceBefore=before,
        spaceAfter=after,
    )


def _head_rules(heads: int) -> list[tuple[Any, ...]]:
    return [
        ("LINEBELOW", (0, heads - 1), (-1, heads - 1), RULE, INK),
        ("LINEBELOW", (0, heads), (-1, -1), HAIR, HAIRLINE),
    ]


def ruled(block: blocks.Ruled, node: Node, look: Look, width: float) -> Grid:
    """Rule a table to write in; its head comes again on every page."""
    count = len(block.columns)
    align = _letters(block.align, count)
    _check(block.rows, count)
    rows = [*block.rows, *([""] * count for _ in range(block.blank_rows))]
    data: list[list[Any]] = [[*_head(block.columns, align, node, look)]]
    data += _body(rows, align, node, look.cell)
    rules = [*_head_rules(1), ("LINEAFTER", (0, 0), (-2, -1), HAIR, HAIRLINE)]
    widths = _widths(block.widths, data, count, width)
    return _grid(_Rows(data, heads=1, least=look.row), widths, rules, look)


def table(block: blocks.Table, node: Node, look: Look, width: float) -> Grid:
    """Set a table to read, with its total under a double rule."""
    count = len(block.columns)
    align = _letters(block.align, count)
    closing = [block.total] if block.total else []
    _check([*block.rows, *closing], count)
    data: list[list[Any]] = [[*_head(block.columns, align, node, look)]]
    data += _body(block.rows, align, node, look.cell)
    rules = _head_rules(1)
    if block.total:
        data += _body([block.total], align, node, look.label)
        rules.append(("LINEABOVE", (0, -1), (-1, -1), 0.8, INK, 0, None, None, 2, 2))
    widths = _widths(block.widths, data, count, width)
    return _grid(_Rows(data, heads=1), widths, rules, look)


def facts(block: blocks.Facts, node: Node, look: Look, width: float) -> Grid:
    """Set pairs of label and value in two columns."""
    data: list[list[Any]] = []
    for label, value in block.pairs:
        row = node.child("TR")
        data.append(
            [
                Words.of(label, look.label, row.child("TH", scope="Row")),
                Words.of(value, look.cell, row.child("TD")),
            ]
        )
    rules: list[tuple[Any, ...]] = [
        ("LINEBELOW", (0, 0), (-1, -1), HAIR, HAIRLINE),
        ("LINEABOVE", (0, 0), (-1, 0), HAIR, HAIRLINE),
    ]
    widths = _widths([1, look.value_share], data, 2, width)
    return _grid(_Rows(data, across="TOP"), widths, rules, look)
