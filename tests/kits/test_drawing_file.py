"""Drawings that are kept as files: SVG's own words, and a page's."""

import pytest

from heritage.common.steps import FOLDER
from heritage.kits.drawing.file import from_svg
from heritage.kits.drawing.path import arc, page_path

SVG = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 240 180">%s</svg>'


def read(tmp_path, inside):
    file = tmp_path / "drawn.svg"
    file.write_text(SVG % inside)
    return from_svg(file).strokes


def test_paper_reads_every_drawing_of_ours():
    files = [*FOLDER.glob("*.svg")]
    assert len(files) > 100
    for kept in map(from_svg, files):
        assert (kept.width, kept.height) == (240, 180)
        assert kept.strokes.split().count("q") == kept.strokes.split().count("Q")


@pytest.mark.parametrize(
    ("data", "said"),
    [
        ("M10 10L20 10", "10 10 m 20 10 l"),
        ("M1-2-3.5.5", "1 -2 m -3.5 .5 l"),
        ("m10 10 5 0zm1 1", "10 10 m 15 10 l h 11 11 m"),
        ("M1 1c1 0 2 0 3 3", "1 1 m 2 1 3 1 4 4 c"),
        # SVG 1.1, 8.3.7: the handle left out is the last one's reflection.
        ("M0 0q3 0 3 3t3 3", "0 0 m 2 0 3 1 3 3 c 3 5 4 6 6 6 c"),
        ("M0 0L1 1t3 3", "0 0 m 1 1 l 1 1 2 2 4 4 c"),
    ],
)
def test_a_path_is_said_in_a_pages_words(data, said):
    assert page_path(data) == said


@pytest.mark.parametrize(
    ("end", "large", "sweep", "centre", "middle"),
    [
        # Which of the four arcs is meant: SVG 1.1, 8.3.8. Angles grow to the sweep.
        (1j, 0, 1, 0, 0.70710678 + 0.70710678j),
        (1j, 1, 0, 0, -0.70710678 - 0.70710678j),
        (1j, 0, 0, 1 + 1j, 0.29289322 + 0.29289322j),
        (1j, 1, 1, 1 + 1j, 1.70710678 + 1.70710678j),
        (-1, 0, 1, 0, 1j),
        # F.6.6: a radius that is too small grows.
        (-3, 0, 1, -1, -1 + 2j),
    ],
)
def test_an_arc_stays_on_its_circle(end, large, sweep, centre, middle):
    at, passed = 1 + 0j, []
    for one, other, to in arc(at, end, (1, 1, 0, large, sweep)):
        passed += [(at + 3 * one + 3 * other + to) / 8, to]
        at = to
    assert at == pytest.approx(end)
    radius = abs(1 - centre)
    for point in passed:
        assert abs(point - centre) == pytest.approx(radius, rel=3e-4)
    assert min(abs(point - middle) for point in passed) < 3e-4 * radius


def test_an_ellipse_is_turned():
    *_, (_, _, end) = arc(0j, 2j, (1, 5, 90, 0, 1))
    *_, (_, _, lower) = arc(2j, 0j, (1, 5, 90, 0, 1))
    assert (end, lower) == (pytest.approx(2j), pytest.approx(0j))
    half = next(arc(0j, 2j, (1, 5, 90, 0, 1)))
    assert half[2] == pytest.approx(5 + 1j)


def test_a_mark_takes_its_look_from_the_groups_it_is_used_in(tmp_path):
    defined = '<defs><path id="one" d="M0 0L1 1" stroke-width="3"/></defs>'
    used = '<use href="#one" transform="translate(5 6) scale(2)"/>'
    group = f'<g fill="none" stroke="var(--flax, #ff0000)" stroke-width="2">{used}</g>'
    assert read(tmp_path, defined + group) == (
        "1 0 0 -1 0 180 cm q 1 0 0 1 5 6 cm 2 0 0 2 0 0 cm "
        "1 0 0 RG 3 w [] 0 d 0 J 0 j 0 0 m 1 1 l S Q"
    )


def test_a_circle_is_filled_and_a_box_gone_round(tmp_path):
    said = read(
        tmp_path,
        '<circle cx="5" cy="5" r="2" fill="#00ff00"/>'
        '<rect x="1" y="1" width="4" height="3" fill="none" stroke="#000000"/>',
    )
    assert "0 1 0 rg 3 5 m" in said
    assert said.endswith("1 1 m 5 1 l 5 4 l 1 4 l 1 1 l h S")


@pytest.mark.parametrize(
    "inside",
    ['<path d="M0 0H5"/>', '<use href="#none"/>', "<g", '<text x="1">A</text>'],
)
def test_what_paper_cannot_draw_is_refused(tmp_path, inside):
    with pytest.raises(ValueError, match=r"drawn\.svg holds no drawing"):
        read(tmp_path, inside)
