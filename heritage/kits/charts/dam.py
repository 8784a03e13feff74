"""A dam cut through along its length."""

from itertools import pairwise
from typing import Final

from heritage.kits.charts.axes import WIDTH, heading, number
from heritage.kits.drawing import (
    Area,
    Curve,
    Drawing,
    Line,
    Mark,
    Point,
    Polyline,
    Text,
)

LEFT, RIGHT = 58.0, 316.0
BRIM, FLOOR = 78.0, 178.0
ARROW: Final = 4.0


def metres(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".") + " m"


def _across(x1: float, x2: float, y: float, words: str) -> list[Mark]:
    """Draw a measure across: a line with its arrows and figure."""
    return [
        Line(x1, y, x2, y, "muted", 0.8),
        Polyline([(x1 + ARROW, y - 3), (x1, y), (x1 + ARROW, y + 3)], "muted", 0.8),
        Polyline([(x2 - ARROW, y - 3), (x2, y), (x2 - ARROW, y + 3)], "muted", 0.8),
        Text((x1 + x2) / 2, y - 5, words, "ink", 12, "middle"),
    ]


def _upright(x: float, y1: float, y2: float, words: tuple[str, str]) -> list[Mark]:
    middle = (y1 + y2) / 2
    return [
        Line(x, y1, x, y2, "muted", 0.8),
        Polyline([(x - 3, y1 + ARROW), (x, y1), (x + 3, y1 + ARROW)], "muted", 0.8),
        Polyline([(x - 3, y2 - ARROW), (x, y2), (x + 3, y2 - ARROW)], "muted", 0.8),
        Text(x + 6, middle - 2, words[0], "ink", 12),
        Text(x + 6, middle + 13, words[1], "ink", 12),
    ]


def _soil(sides: list[Point]) -> list[Mark]:
    """Draw the ground's edge, with the short strokes that mean earth."""
    ground = [(14.0, BRIM), *sides, (WIDTH - 14, BRIM)]
    marks: list[Mark] = [Polyline(ground, "ink", 2)]
    for (x1, y1), (x2, y2) in pairwise(ground):
        length = ((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5
        for k in range(1, int(length // 12) + 1):
            x, y = (x1 + (x2 - x1) * k * 12 / length, y1 + (y2 - y1) * k * 12 / length)
            lean = 6 if y2 < y1 else -6
            marks.append(Line(x, y + 2, x + lean, y + 9, "muted", 0.8))
    return marks


def dam_section(
    *,
    top_length: float,
    bottom_length: float,
    depth: float,
    water_depth: float,
    title: str = "The dam, cut through along its length",
) -> Drawing:
    """Draw a dam's section with its measures and the depth of water, in metres.

    Heights are drawn larger than lengths, and the drawing says so.
    """
    if not 0 <= water_depth <= depth or not 0 < bottom_length <= top_length:
        raise ValueError("The water must fit the dam, and the floor its brim.")
    inset = (RIGHT - LEFT) * (1 - bottom_length / top_length) / 2
    foot_left, foot_right = LEFT + inset, RIGHT - inset
    sides: list[Point] = [(LEFT, BRIM), (foot_left, FLOOR), (foot_right, FLOOR)]
    sides.append((RIGHT, BRIM))
    share = water_depth / depth
    level = FLOOR - share * (FLOOR - BRIM)
    reach = inset * share
    surface = (foot_left - reach, foot_right + reach)
    water = [(surface[0], level), (foot_left, FLOOR), (foot_right, FLOOR)]
    water.append((surface[1], level))
    wave = [(surface[0] + k * (surface[1] - surface[0]) / 12, level) for k in range(13)]
    ripple = [(x, y + (1.6 if k % 2 else -1.6)) for k, (x, y) in enumerate(wave)]
    middle = (LEFT + RIGHT) / 2
    marks: list[Mark] = (
        [heading(title), Area(water, "water")] if share else [heading(title)]
    )
    if share:
        marks.append(Curve(ripple, "action", 1.6))
        marks += _upright(middle, level, FLOOR, ("water", metres(water_depth)))
    marks += _soil(sides)
    marks += _across(LEFT, RIGHT, BRIM - 20, f"brim {metres(top_length)}")
    marks += _across(
        foot_left, foot_right, FLOOR + 32, f"floor {metres(bottom_length)}"
    )
    marks += _upright(RIGHT + 16, BRIM + 2, FLOOR, ("", ""))
    marks.append(Text(WIDTH - 4, FLOOR + 15, f"deep {metres(depth)}", "ink", 12, "end"))
    note = "Heights are drawn larger than lengths."
    marks.append(Text(10, FLOOR + 54, note, "muted", 12))
    said = (
        f"Brim {metres(top_length)}, floor {metres(bottom_length)}, depth "
        f"{metres(depth)}; water {metres(water_depth)} deep, "
        f"{number(round(100 * share))}% of the depth."
    )
    return Drawing(WIDTH, FLOOR + 62, tuple(marks), title, said)
