"""Contrast of the palette in both themes and on paper, computed from the style sheets.

The thresholds and the luminance formula are those of WCAG 2.2, success criteria
1.4.3 (text 4.5:1) and 1.4.11 (shapes that carry meaning 3:1).
"""

import re
from itertools import product
from pathlib import Path

import pytest

LOOK = Path(__file__).parents[2] / "heritage/common/static/look"
HEX = r"#[0-9a-f]{6}\b"
TEXTS = ("ink", "faint", "action", "action-deep", "crop", "alert")
GROUNDS = ("paper", "sheet")
# Words are also written on tinted grounds, and buttons write on their own colour.
MORE_TEXT = [
    ("ink", "action-soft"),
    ("action", "action-soft"),
    ("action-deep", "action-soft"),
    ("faint", "action-soft"),
    ("ink", "alert-soft"),
    ("alert", "alert-soft"),
    ("on-action", "action"),
    ("on-action", "action-deep"),
    ("ink", "crop-soft"),
    ("ink", "sky"),
    ("on-alarm", "alarm"),
]
SHAPES = [
    ("line", "paper"),
    ("line", "sheet"),
    ("action", "sky"),
    ("crop", "sky"),
    ("crop", "crop-soft"),
    ("action", "crop-soft"),
    ("crop", "sheet"),
]


def blocks() -> dict[str, dict[str, str]]:
    """Return the colours of each block of the tokens and print sheets, by selector."""
    found = {}
    for name in ("tokens.css", "print.css"):
        css = re.sub(r"/\*.*?\*/", "", (LOOK / name).read_text(), flags=re.DOTALL)
        for selector, body in re.findall(r"([^{}]+)\{([^{}]+)\}", css):
            colours = dict(re.findall(rf"--([\w-]+): ({HEX})", body))
            if colours:
                found[f"{name} {selector.strip()}"] = colours
    return found


BLOCKS = blocks()
DAY = BLOCKS["tokens.css :root"]
DUSK_BY_DEVICE = BLOCKS['tokens.css :root:not([data-theme="day"])']
DUSK_BY_CHOICE = BLOCKS['tokens.css :root[data-theme="dusk"]']
PAPER = BLOCKS["print.css :root"]


def luminance(colour: str) -> float:
    parts = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    red, green, blue = (
        p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def test_the_formula_gives_the_published_ends() -> None:
    """WCAG: black on white is 21 to 1, a colour on itself 1 to 1."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)
    assert contrast("#123456", "#123456") == 1


@pytest.mark.parametrize("theme", [DAY, DUSK_BY_CHOICE, PAPER], ids=["d", "k", "p"])
@pytest.mark.parametrize(("text", "ground"), [*product(TEXTS, GROUNDS), *MORE_TEXT])
def test_words_stand_out(theme: dict[str, str], text: str, ground: str) -> None:
    assert contrast(theme[text], theme[ground]) >= 4.5


@pytest.mark.parametrize("theme", [DAY, DUSK_BY_CHOICE], ids=["day", "dusk"])
@pytest.mark.parametrize(("shape", "ground"), SHAPES)
def test_shapes_stand_out(theme: dict[str, str], shape: str, ground: str) -> None:
    assert contrast(theme[shape], theme[ground]) >= 3


def test_body_text_is_fit_for_full_sun() -> None:
    """More than WCAG's enhanced 7:1, since glare takes its share."""
    assert contrast(DAY["ink"], DAY["paper"]) >= 12


def test_dusk_is_the_same_by_device_and_by_choice() -> None:
    assert DUSK_BY_DEVICE == DUSK_BY_CHOICE


def test_every_theme_names_every_colour() -> None:
    assert DAY.keys() == DUSK_BY_CHOICE.keys() == PAPER.keys()


def test_safety_marks_read_on_their_own_grounds() -> None:
    iso = dict(re.findall(rf"--iso-(\w+): ({HEX})", (LOOK / "marks.css").read_text()))
    assert contrast(iso["black"], iso["yellow"]) >= 4.5
    for ground in ("red", "blue", "green"):
        assert contrast(iso["white"], iso[ground]) >= 4.5


def test_colours_are_named_in_the_palette_alone() -> None:
    for sheet in LOOK.glob("*.css"):
        if sheet.name not in ("tokens.css", "tints.css", "print.css", "marks.css"):
            assert re.findall(HEX, sheet.read_text()) == [], sheet.name


def test_safety_colours_serve_the_marks_alone() -> None:
    for sheet in LOOK.glob("*.css"):
        if sheet.name != "marks.css":
            assert "--iso-" not in sheet.read_text(), sheet.name


def test_every_property_that_is_used_is_set() -> None:
    css = "".join(sheet.read_text() for sheet in LOOK.glob("*.css"))
    used = set(re.findall(r"var\(--([\w-]+)", css))
    assert used <= set(re.findall(r"--([\w-]+):", css))
