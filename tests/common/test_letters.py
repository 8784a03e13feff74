"""The letters that are cut: small, whole for every name, and still while they load."""

from io import BytesIO
from pathlib import Path

import pytest
from django.core.management import call_command
from fontTools.ttLib import TTFont

from heritage.kits import fonts

LETTERS = Path(__file__).parents[2] / "heritage/common/static/look/letters.css"
# Irish, Welsh, Polish, Lithuanian, Ukrainian; figures and signs.
NEEDED = {*map(ord, "ÁÉÍÓÚáéíóúŵŷẁẃẅỳŴŶŁąęśźżĆŽžūėųЇїєґЖк½£“”·°\N{EN DASH}")}


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    """Give a folder with the letters of the page, and let paper's go there too."""
    folder = tmp_path_factory.mktemp("letters")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(fonts, "KEPT", folder / "paper" / "bitter.ttf")
        call_command("build_fonts", folder=folder, verbosity=0)
    return folder


@pytest.mark.parametrize(
    ("face", "weight", "figures"),
    [("fira-sans", 400, True), ("fira-sans", 600, True), ("bitter", 700, False)],
)
def test_the_letters_of_every_name_are_kept(built, face, weight, figures) -> None:
    """And figures that stand below each other, where a page has tables."""
    letters = set()
    for cut in ("", "-names"):
        made = built / f"{face}-{weight}{cut}.woff2"
        assert made.name in (built / "fonts.css").read_text()
        with TTFont(made) as font:
            letters |= font.getBestCmap().keys()
            assert font["OS/2"].usWeightClass == weight
            assert "fvar" not in font, "cut to one weight"
            assert "fpgm" not in font, "without hints"
            table = font["GSUB"].table.FeatureList.FeatureRecord
            assert not figures or cut or "tnum" in {row.FeatureTag for row in table}
    assert letters >= NEEDED


def test_what_a_page_waits_for_is_small(built) -> None:
    plain = [file for file in built.glob("*.woff2") if "names" not in file.name]
    assert len(plain) == 3
    assert sum(file.stat().st_size for file in plain) < 36_000


def test_an_english_page_needs_no_second_file(built) -> None:
    """Nor an Irish name: what is written in a template is in what comes at once."""
    pages = (Path(__file__).parents[2] / "templates").rglob("*.html")
    written = {*"ÁÉÍÓÚáéíóú", *"".join(page.read_text() for page in pages)} - {"\n"}
    assert not _letters(fonts.PLAIN) & _letters(fonts.NAMES), "or both are fetched"
    assert _letters(fonts.PLAIN) | _letters(fonts.NAMES) >= {*range(0xC0, 0x180)}
    for face in ("fira-sans-400", "fira-sans-600"):
        with TTFont(built / f"{face}.woff2") as font:
            assert {*map(ord, written)} <= font.getBestCmap().keys(), face


def _letters(ranges) -> set[int]:
    return {code for first, last in ranges for code in range(first, last + 1)}


def test_paper_has_every_letter_in_one_file(built) -> None:
    kept = (built / "paper" / "bitter.ttf").read_bytes()
    with TTFont(BytesIO(kept)) as font:
        assert font.getBestCmap().keys() >= NEEDED
        assert font["OS/2"].usWeightClass == fonts.HEAVY
    again = fonts.cut(fonts.GREAT, fonts.HEAVY, fonts.PLAIN + fonts.NAMES, None)
    assert kept == again, "the same bytes whenever it is made"


def test_no_face_moves_the_page_once_it_is_read(built) -> None:
    """A face that is late is left for the next page."""
    sheet = (built / "fonts.css").read_text()
    assert sheet.count("font-display: optional") == sheet.count("@font-face") == 6
    assert "url(" not in LETTERS.read_text()
    assert "size-adjust" in LETTERS.read_text()
