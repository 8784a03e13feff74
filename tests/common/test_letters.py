"""The heading face: whole for every name, small, licensed, and still while it loads."""

from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

ROOT = Path(__file__).parents[2]
WEB = ROOT / "heritage/common/static/look/letters"
PAPER = ROOT / "heritage/kits/letters"
# Irish, Welsh, Polish, Lithuanian, Ukrainian; figures and signs.
NEEDED = "ÁÉÍÓÚáéíóúŵŷẁẃẅỳŴŶŁąęśźżĆŽžūėųЇїєґЖк£½“”·°\N{EN DASH}"


@pytest.mark.parametrize(
    ("file", "weight"),
    [(WEB / "bitter-700.woff2", 700), (PAPER / "bitter-800.ttf", 800)],
)
def test_the_letters_of_every_name_are_kept(file: Path, weight: int) -> None:
    with TTFont(file) as font:
        assert {ord(sign) for sign in NEEDED} <= font.getBestCmap().keys()
        assert font["OS/2"].usWeightClass == weight
        assert "fvar" not in font, "cut to one weight"


def test_the_faces_are_small_and_carry_their_licence() -> None:
    for file in WEB.glob("*.woff2"):
        assert file.stat().st_size < 30_000
    for folder in (WEB, PAPER):
        assert "SIL OPEN FONT LICENSE" in (folder / "OFL.txt").read_text()


def test_no_face_moves_the_page_once_it_is_read() -> None:
    """A face that is late is left for the next page."""
    css = (ROOT / "heritage/common/static/look/letters.css").read_text()
    faces = [face for face in css.split("@font-face")[1:] if "url(" in face]
    assert len(faces) == 1
    assert all("font-display: optional" in face for face in faces)
