"""The pen, the land and the field: light enough for a phone, the same each time."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heritage.kits.charts.field import Patch, field_plan
from heritage.kits.drawing.land import Land
from heritage.kits.drawing.marks import Area, Drawing
from heritage.kits.drawing.pen import outline
from heritage.kits.drawing.svg import to_svg

pytestmark = pytest.mark.any_database
# House rule: what a drawing may weigh on a page. [bytes]
MOST = 31_000


def flax(drawing: Drawing) -> list[Area]:
    marks = (mark for mark in drawing.marks if isinstance(mark, Area))
    return [mark for mark in marks if mark.role == "flax"]


@given(
    st.lists(st.tuples(*[st.floats(0, 60)] * 2), min_size=2, max_size=6, unique=True)
)
def test_a_stroke_keeps_near_its_line_and_never_changes(points):
    drawn = outline(points, 4)
    assert drawn == outline(points, 4)
    xs = [x for x, _ in points]
    assert all(min(xs) - 16 <= x <= max(xs) + 16 for x, _ in drawn)


@pytest.mark.parametrize("standing", [0, 0.3, 0.6, 0.8, 1])
def test_the_land_weighs_little(standing):
    land = Land(460, 150, standing, stooks=3, people=2)
    svg = to_svg(Drawing(460, 150, tuple(land.marks())), prefix="land")
    assert len(svg) < MOST


def test_a_plan_shows_a_clean_edge_only_where_it_is_known():
    known = field_plan([Patch(1, 0.5, 0.5)], title="", told="")
    guessed = field_plan([Patch(1, 0.4, 0.7)], title="", told="")
    heights = [[y for _, y in flax(plan)[0].points[1:-1]] for plan in (known, guessed)]
    assert max(heights[0]) - min(heights[0]) < 4
    assert max(heights[1]) - min(heights[1]) > 20
    assert (
        len(to_svg(field_plan([Patch(1, 0, 0)], title="", told=""), prefix="f")) < MOST
    )


def test_what_is_pulled_has_no_crop_on_the_plan():
    assert flax(field_plan([Patch(1, 1, 1)], title="", told="")) == []
    assert len(flax(field_plan([Patch(1, 0, 0)] * 3, title="", told=""))) == 3
