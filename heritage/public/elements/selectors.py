"""A made-up season, to show every element of the pages by."""

from dataclasses import dataclass
from datetime import date

from heritage.calc.stand import Stand
from heritage.common import sketches
from heritage.public.process.words import ProcessText, sheets_of
from heritage.season.models import Stage
from heritage.season.selectors import Followed, Knot, Season, StageLine, thread
from heritage.tally.selectors import BY_AREA, FieldProgress, PlotProgress

FIRST, LAST = date(2026, 8, 3), date(2026, 8, 6)
# How many stages are done, and how many go on.
DONE, GOING = 3, 3
COLOURS = (
    "paper", "sheet", "ink", "faint", "rule", "line", "action", "action-soft", "crop",
    "crop-soft", "alert", "alert-soft", "flax", "ground", "grass", "water",
    "water-line", "stone", "skin", "flower", "cloth", "now",
)  # fmt: skip
STATES = ("go", "hold", "off", "done", "planned", "due", "waiting", "full")


@dataclass(frozen=True, slots=True)
class Elements:
    """What the page of elements shows."""

    thread: list[Knot]
    progress: FieldProgress
    drawings: list[tuple[Stage, list[ProcessText]]]
    marks: tuple[str, ...] = sketches.names()
    colours: tuple[str, ...] = COLOURS
    states: tuple[str, ...] = STATES


def elements() -> Elements:
    """Return one of everything: no query."""
    lines = [StageLine(stage, None, _followed(at)) for at, stage in enumerate(Stage)]
    plots = [
        PlotProgress("By the lane", 1000, 300, Stand(300, 300, 300, True), BY_AREA),
        PlotProgress("By the burn", 800, 120, Stand(150, 200, 300), BY_AREA),
        PlotProgress("The high end", 1000, 0, Stand(150, 250, 300), BY_AREA),
    ]
    whole = FieldProgress(420, Stand(600, 750, 900), 12, plots)
    drawings = [(stage, sheets_of(stage)) for stage in Stage]
    return Elements(thread(Season([], lines)), whole, drawings)


def _followed(at: int) -> Followed | None:
    if at < DONE:
        return Followed(FIRST, LAST)
    return Followed(FIRST, None) if at < DONE + GOING else None
