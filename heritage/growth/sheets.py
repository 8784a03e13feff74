"""What was seen of the crop as a file, and a sheet to write it on in the field."""

from collections.abc import Iterable, Iterator
from datetime import date

from django.utils.translation import gettext as _

from heritage.briefings.sheets import stop_blocks
from heritage.common import sheets as paper
from heritage.growth.drawings import window_drawing
from heritage.growth.models import Observation
from heritage.growth.selectors import GrowingPage, PlotGrowth
from heritage.kits.paper import blocks as paper_blocks
from heritage.kits.tables.write import Cell, csv_table
from heritage.season.models import Demonstration

NUMBERS = (
    "height_cm", "bbch", "stems_yellow", "leaves_fallen", "bolls_green",
    "bolls_yellow", "bolls_brown", "lodged",
)  # fmt: skip


def observations_csv(rows: Iterable[Observation]) -> Iterator[str]:
    """Write the observations as CSV, a line at a time."""
    return csv_table(_heads(), (_cells(row) for row in rows))


def _heads() -> list[str]:
    fields = {one.name: one.verbose_name for one in Observation._meta.fields}
    names = ["seen_on", "plot", "flower", *NUMBERS, "frame_m2", "counts"]
    return [str(fields[name]) for name in [*names, "weeds", "note"]] + [_("entered by")]


def _cells(row: Observation) -> list[Cell]:
    numbers = (getattr(row, name) for name in NUMBERS)
    return [
        row.seen_on.isoformat(),
        row.plot.name,
        row.get_flower_display() if row.flower else "",
        *("" if number is None else number for number in numbers),
        "" if row.frame_m2 is None else f"{row.frame_m2.normalize():f}",
        " ".join(map(str, row.counts)),
        row.get_weeds_display() if row.weeds else "",
        row.note,
        str(row.by),
    ]


ROWS, LARGE_ROWS = 18, 10
WIDTHS = (2.4, 2.6, 2.4, 1.6, 1.8, 1.8, 2.6, 1.4, 3.4)


def growing_sheet(
    page: GrowingPage, *, place: Demonstration, printed_on: date, large_print: bool
) -> bytes:
    """Return when to pull, how to look, and rows to write in, as a PDF."""
    first = page.first_ready
    plots = [_plot(one, is_drawn=one is first) for one in page.plots]
    return paper.sheet(
        title=_("Looking at the crop"),
        subtitle=place.place_name,
        large_print=large_print,
        blocks=[
            *plots,
            paper_blocks.Heading(_("How to look")),
            paper_blocks.Steps(_steps()),
            paper_blocks.Para(_estimate_words()),
            # A page of its own, so that it can be copied.
            paper_blocks.PageBreak(),
            *stop_blocks(),
            paper_blocks.Heading(_("What we saw")),
            _to_write_in(large_print=large_print),
        ],
        footer=paper_blocks.Footer(
            owner=place.name, version=_("Printed %s") % f"{printed_on:%d %b %Y}"
        ),
    )


def _plot(one: PlotGrowth, *, is_drawn: bool) -> paper_blocks.Block:
    drawing = window_drawing(one) if is_drawn else None
    head: list[paper_blocks.Block] = [
        paper_blocks.Heading(one.plot.name),
        paper_blocks.Para(one.when),
    ]
    figure = [paper_blocks.Figure(drawing, width_mm=120)] if drawing else []
    return paper_blocks.Together([*head, *figure])


def _estimate_words() -> str:
    return _(
        "The days are an estimate, from published figures and our own judgement; the "
        "crop itself says when to pull: the lower half of the stems yellow, and leaves "
        "off two thirds of the way up."
    )


def _steps() -> list[str]:
    return [
        _("Walk along the edge or between rows, and look at 20 plants from all over."),
        _("Height: stand a rule on the ground at five spots; write the middle one."),
        _("Stems: how far up they are yellow. Leaves: how far up they have fallen."),
        _("Bolls: take 20, and count the green, the yellow and the brown ones."),
        _("Stand: throw a frame of 25 by 40 cm ten times, and count the stems in it."),
        _("Lying flat: how much of the plot, from 0 (all upright) to 100 (all flat)."),
    ]


def _to_write_in(*, large_print: bool) -> paper_blocks.Block:
    heads = [
        _("Day"), _("Plot"), _("Flower"), _("Height cm"), _("Stems %"),
        _("Leaves %"), _("Bolls g/y/b"), _("Flat %"), _("Frames, note, who"),
    ]  # fmt: skip
    rows = LARGE_ROWS if large_print else ROWS
    return paper_blocks.Ruled(heads, blank_rows=rows, widths=WIDTHS)
