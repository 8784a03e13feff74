"""The work in lines: every drawing speaks, fits its frame and is always the same."""

import pytest

from heritage.kits.drawing.marks import Curve, Polyline, Text
from heritage.kits.drawing.svg import to_svg
from heritage.kits.emblem import flax_flower
from heritage.kits.process_drawings.beets import beet, stook
from heritage.kits.process_drawings.breaking import brake
from heritage.kits.process_drawings.field import pulling
from heritage.kits.process_drawings.hackling import hackle
from heritage.kits.process_drawings.plants import Axis, Sheaf, waver
from heritage.kits.process_drawings.scutching import scutching
from heritage.kits.process_drawings.timber import Board
from heritage.kits.process_drawings.water import dam
from heritage.season.words import drawing_words
from tests.kits.sheets import painted

DRAWN = {
    made.__name__: made
    for made in (beet, brake, dam, hackle, pulling, scutching, stook)
}
NAMES = sorted(DRAWN)


def draw(name):
    return DRAWN[name](drawing_words(name))


def points(drawing):
    for mark in drawing.marks:
        if isinstance(mark, Curve | Polyline):
            yield from mark.points
        elif hasattr(mark, "x1"):
            yield from ((mark.x1, mark.y1), (mark.x2, mark.y2))


@pytest.mark.parametrize("name", NAMES)
def test_a_drawing_is_the_same_each_time(name):
    assert draw(name) == draw(name)
    assert to_svg(draw(name), prefix="a") == to_svg(draw(name), prefix="a")


@pytest.mark.parametrize("name", NAMES)
def test_a_drawing_fits_its_frame(name):
    """Only a sleeve may run off the paper, by a hair."""
    drawing = draw(name)
    assert all(
        -3 <= x <= drawing.width + 3 and -3 <= y <= drawing.height + 3
        for x, y in points(drawing)
    )


@pytest.mark.parametrize("name", NAMES)
def test_its_labels_are_readable_and_inside(name):
    drawing = draw(name)
    words = [mark for mark in drawing.marks if isinstance(mark, Text)]
    assert len(words) >= 2
    for word in words:
        assert word.size >= 12
        assert word.x >= 4
        assert word.x + 0.53 * word.size * len(word.text) <= drawing.width


@pytest.mark.parametrize("name", NAMES)
def test_it_says_in_words_what_it_shows(name):
    drawing = draw(name)
    assert drawing.title
    assert drawing.description.endswith(".")
    assert len(drawing.description.split()) >= 15


@pytest.mark.parametrize("name", NAMES)
def test_it_goes_on_page_and_paper(name):
    assert len(to_svg(draw(name), prefix="a")) < 250_000
    assert painted(draw(name)).startswith(b"%PDF")


def test_the_flower_has_five_petals():
    edges = [m for m in flax_flower().marks if isinstance(m, Curve) and m.filled]
    assert len(edges) == 5


def test_a_hand_wavers_evenly_and_never_too_far():
    values = [waver(key, 2) for key in range(2000)]
    assert max(map(abs, values)) <= 2
    assert abs(sum(values) / len(values)) < 0.1


def test_a_sheaf_is_narrowest_at_its_band():
    sheaf = Sheaf(Axis((0, 100), (0, 0)), 20, 10, 30, tie=0.5)
    assert min(range(101), key=lambda k: sheaf.half(k / 100)) == 50
    assert [sheaf.half(0), sheaf.half(1)] == [20, 30]


def test_an_axis_measures_along_and_across():
    axis = Axis((10, 100), (10, 0))
    assert axis(0.5, 0) == (10, 50)
    assert axis(0, 7) == (17, 100)


def test_a_sloping_board_rises_to_the_right():
    board = Board((0, 100), 50, 10, 5, slope=30)
    assert board.at(50, 0)[1] == pytest.approx(75)
