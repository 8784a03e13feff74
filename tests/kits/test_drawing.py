"""Drawings: one list of marks, the same picture on the page and on paper."""

import re
from io import BytesIO
from itertools import pairwise
from typing import get_args

import pdfplumber
import pytest
from defusedxml.ElementTree import fromstring
from svglib.svglib import svg2rlg

from heritage.kits.drawing.file import _strokes, from_svg
from heritage.kits.drawing.marks import (
    Area,
    Circle,
    Curve,
    Drawing,
    Line,
    Polyline,
    Rect,
    Text,
    placed,
)
from heritage.kits.drawing.shape import beziers, hatching
from heritage.kits.drawing.svg import to_svg
from heritage.kits.drawing.tones import TONES, Hatch, Role
from heritage.kits.signs import sign
from tests.kits.contrast import contrast, luminance
from tests.kits.sheets import painted

SQUARE = ((0, 0), (10, 0), (10, 10), (0, 10))
ALL_MARKS = (
    Line(0, 0, 10, 10, "hairline", dash=True),
    Polyline(SQUARE, "crop"),
    Curve(SQUARE, "action", dash=True),
    Curve(SQUARE, "action", closed=True, filled=True),
    Area(SQUARE, "band"),
    Area(SQUARE, "light"),
    Rect(1, 2, 3, 4, "dusk", filled=True),
    Rect(1, 2, 3, 4),
    Circle(5, 5, 2, "warning"),
    Circle(5, 5, 2, "warning", filled=True),
    Text(1, 9, "root end", bold=True),
)


def make_drawing(*marks, title="A beet", description="Tied in the middle."):
    return Drawing(20, 20, marks or ALL_MARKS, title, description)


def on_paper(drawing: Drawing) -> list[dict]:
    """Return what pdfplumber sees; it counts from the top left, as the marks do."""
    with pdfplumber.open(BytesIO(painted(drawing))) as pdf:
        return [one for kind in pdf.pages[0].objects.values() for one in kind]


BEET = """<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 240 180">
  <defs><g id="beet"><path d="M0 0L9 9a4 3 0 1 0 2 2Z"/><circle r="3" fill="%s"/></g>
  </defs>
  <g id="drawing" fill="none" stroke="%s" stroke-width="2" stroke-linecap="round">
    <path d="M8 8L20 8"/>
    <use href="#beet" transform="translate(84 116) scale(0.4)"/>
    <g transform="rotate(20)"><use href="#beet" transform="translate(9 9)"/></g>
    <use href="#beet" stroke-width="1"/>
  </g>
</svg>"""


@pytest.mark.parametrize("fill", ["#e0bd6b", "#6b4719"])
@pytest.mark.parametrize("ink", ["#000000", "#4a64a8"])
def test_what_is_drawn_once_and_shown_often_is_as_svglib_reads_it(tmp_path, fill, ink):
    """Whichever file it was read from first, and whatever look it had there."""
    file = tmp_path / "beet.svg"
    file.write_text(BEET % (fill, ink))
    assert from_svg(file).strokes == _strokes(svg2rlg(file))


def test_svg_carries_no_style_and_no_script():
    """A strict content security policy refuses both."""
    svg = to_svg(make_drawing(), prefix="a")
    assert not re.search(r"\bstyle\b|<script|\bon\w+=|javascript:|url\(", svg)


def test_svg_says_what_it_shows():
    root = fromstring(to_svg(make_drawing(), prefix="beet"))
    ids = {node.get("id"): node.text for node in root if node.get("id")}
    assert root.get("role") == "img"
    assert root.get("aria-labelledby") == "beet-title beet-desc"
    assert ids == {"beet-title": "A beet", "beet-desc": "Tied in the middle."}


def test_two_prefixes_share_no_id():
    ids = [
        set(re.findall(r' id="([^"]+)"', to_svg(make_drawing(), prefix=p)))
        for p in "ab"
    ]
    assert not ids[0] & ids[1]


@pytest.mark.parametrize("hostile", ["<b>&", "\"' onload=x", "</svg><script>"])
def test_words_in_a_drawing_are_escaped(hostile):
    drawing = make_drawing(Text(0, 0, hostile), title=hostile, description=hostile)
    root = fromstring(to_svg(drawing, prefix=hostile))
    assert [node.text for node in root] == [hostile] * 3
    assert len(list(root.iter())) == 4


def test_every_mark_names_its_role():
    root = fromstring(to_svg(make_drawing(), prefix="a"))
    marks = [node for node in root if not node.get("id")]
    assert all(node.get("class").startswith("inked d-") for node in marks)


def test_every_role_has_a_tone():
    assert set(TONES) == set(get_args(Role))


def test_areas_with_a_hatch_are_hatched_both_ways():
    drawing = make_drawing(Area(SQUARE, "band"))
    assert "d-band-hatch" in to_svg(drawing, prefix="a")
    assert sum(mark["object_type"] == "line" for mark in on_paper(drawing)) >= 2


@pytest.mark.parametrize(
    ("mark", "box"),
    [
        (Line(1, 2, 10, 14), (1, 2, 10, 14)),
        (Polyline(SQUARE), (0, 0, 10, 10)),
        (Curve(SQUARE, closed=True, filled=True), (0, 0, 10, 10)),
        (Area(SQUARE, "band"), (0, 0, 10, 10)),
        (Rect(1, 2, 3, 4, "dusk", filled=True), (1, 2, 4, 6)),
        (Rect(1, 2, 3, 4), (1, 2, 4, 6)),
        (Circle(5, 6, 2), (3, 4, 7, 8)),
    ],
)
def test_a_mark_stands_on_paper_where_it_was_put(mark, box):
    found = on_paper(make_drawing(mark))
    sides = (("x0", min), ("top", min), ("x1", max), ("bottom", max))
    assert [far(one[side] for one in found) for side, far in sides] == pytest.approx(
        box, abs=0.01
    )


def test_no_number_on_paper_is_written_with_an_exponent():
    """A page's content knows none, and sines leave figures near nothing."""
    assert not re.search(rb"\de-\d", painted(make_drawing(Area(SQUARE, "band"))))


def test_words_stand_upright_on_paper():
    (first, *_) = on_paper(make_drawing(Text(3, 5, "up")))
    assert first["upright"]
    assert first["matrix"][4:] == pytest.approx((3, 15))


def test_a_mark_moves():
    moved = placed([Line(1, 2, 3, 4, weight=2), Circle(1, 1, 5)], 10, 20)
    assert moved == [Line(11, 22, 13, 24, weight=2), Circle(11, 21, 5)]


@pytest.mark.parametrize("mark", ALL_MARKS, ids=lambda mark: type(mark).__name__)
def test_a_mark_left_where_it_is_does_not_change(mark):
    (same,) = placed([mark], 0, 0)
    assert to_svg(make_drawing(same), prefix="a") == to_svg(
        make_drawing(mark), prefix="a"
    )


def test_something_else_is_not_a_mark():
    with pytest.raises(TypeError, match="No such mark"):
        to_svg(make_drawing("beet"), prefix="a")
    with pytest.raises(TypeError, match="No such mark"):
        painted(make_drawing("beet"))


def test_a_curve_passes_through_its_points():
    assert [piece[2] for piece in beziers(SQUARE, closed=False)] == list(SQUARE[1:])
    assert beziers(SQUARE, closed=True)[-1][2] == SQUARE[0]


def test_a_curve_through_points_in_line_is_straight():
    pieces = beziers([(0, 0), (3, 0), (6, 0)], closed=False)
    assert all(y == 0 for piece in pieces for _, y in piece)


def test_hatching_stays_inside_and_covers():
    lines = hatching(SQUARE, Hatch(2, 0, "#000000"))
    assert [a[1] for a, _ in lines] == [0, 2, 4, 6, 8]
    assert all((a[0], b[0]) == (0, 10) for a, b in lines)


def test_hatching_leaves_a_notch_free():
    notched = [(0, 0), (4, 0), (4, 5), (6, 5), (6, 0), (10, 0), (10, 10), (0, 10)]
    lines = hatching(notched, Hatch(4, 0, "#000000"))
    at_four = [
        (round(a[0], 6), round(b[0], 6)) for a, b in lines if round(a[1], 6) == 4
    ]
    assert at_four == [(0, 4), (6, 10)]


@pytest.mark.parametrize("role", ["ink", "muted", "crop", "action", "warning"])
def test_roles_that_write_are_readable_on_paper(role):
    assert contrast(TONES[role].colour, "#ffffff") >= 4.5


def test_areas_side_by_side_differ_without_colour():
    """In black and white the evening still shows day, dusk and dark."""
    greys = [luminance(TONES[role].colour) for role in ("light", "dusk", "dark")]
    assert greys == sorted(greys, reverse=True)
    assert all(a - b > 0.15 for a, b in pairwise(greys))


@pytest.mark.parametrize(
    "kind", ["warning", "prohibition", "mandatory", "safe", "first_aid"]
)
def test_signs_use_safety_colours_alone(kind):
    svg = to_svg(sign(kind), prefix="s")
    assert set(re.findall(r'class="inked d-([a-z]+)', svg)) == {"sign"}


def test_a_theme_may_change_a_role_but_never_a_safety_colour():
    assert 'color="var(--d, #1f2326)"' in to_svg(make_drawing(), prefix="a")
    assert "var(" not in to_svg(sign("warning"), prefix="s")
