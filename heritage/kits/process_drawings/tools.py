"""The tools from dry straw to line: brake, scutching board, hackle."""

import math

from heritage.kits.drawing import (
    Area,
    Circle,
    Curve,
    Drawing,
    Line,
    Mark,
    Point,
    Polyline,
    placed,
)
from heritage.kits.process_drawings.labels import labels
from heritage.kits.process_drawings.plants import Axis, Sheaf, draw_sheaf, grass, waver
from heritage.kits.process_drawings.timber import Board, back, shives


def _legs(y: float, depth: float) -> list[Mark]:
    marks: list[Mark] = []
    for x in (70.0, 238.0):
        corner = back((x, y), depth)
        marks += Board(corner, 13, 92, 9).draw()
    return marks


def _jaw(depth: float) -> list[Mark]:
    """Draw one of the upper boards, hinged at the left and held open."""
    corner = back((62, 158), depth)
    return Board(corner, 224, 17, 7, slope=15).draw()


def brake() -> Drawing:
    """Draw a hand brake, open, with a handful laid across its bed."""
    bed = [Board(back((48, 188), depth), 232, 17, 7) for depth in (64.0, 32.0, 0.0)]
    handful = Sheaf(Axis((150, 232), (232, 150)), 11, 10, 14, stems=12, key=3)
    marks: list[Mark] = [*grass(12, 350, 298, key=5), *_legs(205, 58)]
    marks += [mark for board in bed for mark in board.draw()]
    marks += _legs(205, 0)
    marks += draw_sheaf(handful, bolls=False, roots=False)
    marks += Board((52, 146), 13, 62, 50).draw()
    for depth in (48.0, 16.0):
        marks += _jaw(depth)
    marks += Board((292, 91), 44, 11, 11, slope=15).draw()
    pin = (68.0, 166.0)
    marks += [
        Circle(*pin, 4, "ground", filled=True),
        Circle(*pin, 4, "ink", weight=1.3),
    ]
    swing: list[Point] = [(338, 108), (344, 128), (340, 148)]
    marks += [
        Curve(swing, "action", 3),
        Polyline([(334, 139), (340, 149), (350, 142)], "action", 3),
        *shives(120, 210, 286, 22),
        *labels(
            [
                ("upper boards", (116, 58), (176, 124)),
                ("lower boards", (222, 326), (206, 198)),
                ("dry straw, across", (92, 326), (152, 226)),
                ("handle", (262, 46), (318, 88)),
            ]
        ),
    ]
    said = (
        "A hand brake: upper boards, hinged at one end, drop between the lower boards "
        "and crack the woody core of a handful of dry straw laid across them."
    )
    return Drawing(360, 312, tuple(placed(marks, 0, -26)), "A brake", said)


def _blade(hilt: Point, angle: float) -> list[Mark]:
    """Draw a wooden scutching blade: flat, long, thin at its edge."""
    cos, sin = math.cos(math.radians(angle)), math.sin(math.radians(angle))

    def turn(points: list[Point]) -> list[Point]:
        return [
            (hilt[0] + x * cos - y * sin, hilt[1] + x * sin + y * cos)
            for x, y in points
        ]

    shape = turn(
        [
            (0, -5),
            (34, -5),
            (40, -17),
            (150, -15),
            (160, -4),
            (152, 13),
            (40, 15),
            (34, 5),
            (0, 5),
        ]
    )
    return [
        Area(shape, "ground"),
        Polyline([*shape, shape[0]], "ink", 1.5),
        Polyline(turn([(44, 8), (150, 7)]), "ink", 0.8),
        *(
            Polyline(
                turn([(52 + 9 * k, -9 + 5 * k), (138 - 7 * k, -8 + 5 * k)]),
                "muted",
                0.6,
            )
            for k in range(3)
        ),
        Circle(*turn([(6, 0)])[0], 2, "ink", weight=1),
    ]


def _hank(
    top: Point, length: float, wide: float, key: int, count: int = 26
) -> list[Mark]:
    """Draw loose fibre hanging down."""
    marks: list[Mark] = []
    edges: list[list[Point]] = []
    for k in range(count):
        place = -1 + 2 * k / (count - 1)
        end = length * (1 + waver(key + k, 0.08))
        strand: list[Point] = [
            (top[0] + 0.55 * wide * place, top[1]),
            (
                top[0] + 0.8 * wide * place + waver(key + k + 7, 1.5),
                top[1] + 0.35 * end,
            ),
            (top[0] + wide * place + waver(key + k + 13, 3), top[1] + 0.7 * end),
            (top[0] + wide * place * 0.9 + waver(key + k + 19, 4), top[1] + end),
        ]
        edges.append(strand)
        marks.append(Curve(strand, "crop" if k % 3 else "ink", 0.8))
    return [Area([*edges[0], *reversed(edges[-1])], "straw"), *marks]


def scutching() -> Drawing:
    """Draw the board with a broken handful over its notch, and the blade."""
    board: list[Point] = [
        (92, 52),
        (168, 52),
        (168, 112),
        (140, 112),
        (140, 128),
        (168, 128),
        (168, 292),
        (92, 292),
    ]
    rear = [back(p, 16) for p in ((168, 52), (168, 112), (168, 128), (168, 292))]
    marks: list[Mark] = [
        *grass(14, 350, 312, key=9),
        *Board((56, 292), 150, 16, 40).draw(),
        Area([(92, 52), (168, 52), back((168, 52), 16), back((92, 52), 16)], "ground"),
        Polyline([(92, 52), back((92, 52), 16), rear[0]], "ink", 1.3),
        Area([(168, 52), rear[0], rear[1], (168, 112)], "ground"),
        Polyline([(168, 52), rear[0], rear[1], (168, 112)], "ink", 1.3),
        Area([(168, 128), rear[2], rear[3], (168, 292)], "ground"),
        Polyline([(168, 128), rear[2], rear[3], (168, 292)], "ink", 1.3),
        Area(board, "ground"),
        Polyline([*board, board[0]], "ink", 1.5),
        *(
            Line(
                102 + 11 * k,
                64 + waver(k, 6),
                102 + 11 * k,
                270 + waver(k + 9, 12),
                "muted",
                0.6,
            )
            for k in range(4)
        ),
        *_hank((156, 118), 128, 24, key=4),
        *_blade((322, 74), 148),
        Curve([(286, 136), (272, 168), (248, 196)], "action", 3),
        Polyline([(250, 184), (247, 197), (260, 196)], "action", 3),
        *shives(196, 262, 296, 16),
        *labels(
            [
                ("board and notch", (18, 34), (141, 113)),
                ("wooden blade", (248, 52), (268, 100)),
                ("broken straw", (206, 252), (172, 226)),
                ("shive falls away", (206, 338), (232, 300)),
            ]
        ),
    ]
    said = (
        "Scutching: a broken handful hangs over the notch of an upright board, and a "
        "flat wooden blade strokes down it so that the woody bits fall away."
    )
    return Drawing(360, 350, tuple(marks), "Scutching board and blade", said)


def _pins(rows: range) -> list[Mark]:
    """Set rows of pins, the far ones first, each a thin spike."""
    marks: list[Mark] = []
    for row in rows:
        for k in range(9):
            x, y = back((116 + 15.0 * k, 232), 66 - 18 * row)
            spike = [(x - 2, y), (x, y - 62), (x + 2, y)]
            marks += [Area(spike, "ground"), Polyline(spike, "ink", 1.1)]
    return marks


def _strick(key: int) -> list[Mark]:
    """Draw the fibre lying through the pins, its ends combed and its head held."""
    marks: list[Mark] = []
    for k in range(26):
        place = -1 + 2 * k / 25
        comb: list[Point] = [
            (342, 128 + 5 * place),
            (296, 158 + 9 * place),
            (226, 184 + 17 * place + waver(key + k, 2)),
            (140, 192 + 20 * place + waver(key + k + 5, 3)),
            (70, 206 + 27 * place + waver(key + k + 9, 5)),
            (26 + waver(key + k, 14), 236 + 30 * place + waver(key + k + 40, 6)),
        ]
        marks.append(Curve(comb, "crop" if k % 3 else "ink", 0.9))
    return marks


def hackle() -> Drawing:
    """Draw a hackle on its block and a strick drawn through it."""
    marks: list[Mark] = [
        *Board((40, 258), 250, 22, 100).draw(),
        *Board(back((104, 234), 14), 150, 16, 70).draw(),
        *_pins(range(2)),
        *_strick(2),
        *_pins(range(2, 4)),
        Line(300, 118, 336, 94, "action", 3),
        Polyline([(325, 93), (337, 93), (333, 104)], "action", 3),
        *labels(
            [
                ("draw towards you", (212, 82), (306, 112)),
                ("pins", (150, 122), (196, 152)),
                ("tow stays in the pins", (40, 318), (132, 214)),
                ("block, held down", (214, 318), (262, 272)),
            ]
        ),
    ]
    said = (
        "Hackling: a strick of scutched fibre is drawn through rows of upright pins "
        "on a block; the short fibre, the tow, stays behind."
    )
    return Drawing(360, 274, tuple(placed(marks, 0, -58)), "A hackle", said)
