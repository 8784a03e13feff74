"""The hand-drawn marks: one for every stage, small, coloured by role."""

import re
from pathlib import Path

import pytest
from defusedxml import ElementTree
from django.template import Context, Template, TemplateSyntaxError

from heritage.common import sketches
from heritage.season.models import Stage

ROOT = Path(__file__).parents[2]
SVG = "{http://www.w3.org/2000/svg}"
LOOK = ROOT / "heritage/common/static/look"
TINTS = (LOOK / "tokens.css").read_text() + (LOOK / "tints.css").read_text()


def drawn(name: str) -> str:
    return (sketches.FOLDER / f"{name}.svg").read_text()


def test_every_stage_has_its_mark() -> None:
    assert {stage.value for stage in Stage} <= set(sketches.names())


@pytest.mark.parametrize("name", sketches.names())
def test_a_mark_is_small_and_coloured_by_role(name: str) -> None:
    root = ElementTree.fromstring(drawn(name))
    assert root.get("viewBox") == "0 0 64 64"
    assert len(drawn(name)) < 4_000
    fills = [path.get("fill") for path in root.iter(f"{SVG}path")]
    assert "currentColor" in fills, "its lines are the ink of the page"
    for fill in set(fills) - {"currentColor"}:
        tint, day = re.fullmatch(r"var\(--([a-z-]+), (#[0-9a-f]{6})\)", fill).groups()
        assert f"--{tint}: {day};" in TINTS, "the day's tint where no sheet reaches"


def test_a_mark_on_a_page_is_an_ornament_drawn_there() -> None:
    html = Template('{% load look %}{% sketch "pulling" %}').render(Context())
    root = ElementTree.fromstring(html)
    assert root.get("aria-hidden") == "true"
    assert root.find(".//path") is not None, "nothing is fetched for it"
    with pytest.raises(TemplateSyntaxError, match="no mark called 'baking'"):
        Template('{% load look %}{% sketch "baking" %}').render(Context())


def test_every_mark_that_a_page_names_is_drawn() -> None:
    for page in (ROOT / "templates").rglob("*.html"):
        named = re.findall(r'{% sketch "(\w+)"', page.read_text())
        assert set(named) <= set(sketches.names()), page
