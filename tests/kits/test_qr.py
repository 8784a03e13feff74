"""QR codes as marks."""

import pytest

from heritage.kits.qr import QUIET, qr_drawing

FINDER = ["1111111", "1000001", "1011101", "1011101", "1011101", "1000001", "1111111"]


def grid(drawing) -> list[str]:
    side = int(drawing.width)
    cells = [["0"] * side for _ in range(side)]
    for mark in drawing.marks[1:]:
        for x in range(int(mark.x), int(mark.x + mark.width)):
            cells[int(mark.y)][x] = "1"
    return ["".join(row) for row in cells]


def test_the_finder_stands_in_three_corners():
    rows = grid(qr_drawing("https://carrowlint.example/"))
    inner = [row[QUIET:-QUIET] for row in rows[QUIET:-QUIET]]
    assert [row[:7] for row in inner[:7]] == FINDER
    assert [row[-7:] for row in inner[:7]] == FINDER
    assert [row[:7] for row in inner[-7:]] == FINDER


def test_a_quiet_zone_of_four_is_kept_free():
    rows = grid(qr_drawing("https://carrowlint.example/"))
    edges = rows[:QUIET] + rows[-QUIET:]
    assert set("".join(edges)) == {"0"}


@pytest.mark.parametrize(
    "address", ["a", "https://carrowlint.example/Ó/їжак", "x" * 400]
)
def test_any_address_fits(address):
    assert qr_drawing(address).width >= 21 + 2 * QUIET
