"""What every template keeps to: no inline style or script, and words that exist."""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
TEMPLATES = sorted(
    [
        *(ROOT / "templates").rglob("*.html"),
        *ROOT.glob("heritage/*/templates/**/*.html"),
    ]
)
# Mail is read where no style sheet of ours comes along, and no policy of ours holds.
PAGES = [path for path in TEMPLATES if "mail" not in path.parent.parts]
LONGEST = 120
LOOK = ROOT / "heritage/common/static/look"


def test_mail_alone_is_left_out() -> None:
    others = {path.relative_to(ROOT).parts[-2] for path in set(TEMPLATES) - set(PAGES)}
    assert others == {"mail"}


@pytest.mark.parametrize("path", PAGES, ids=lambda p: str(p.relative_to(ROOT)))
def test_nothing_is_inline(path: Path) -> None:
    """The content security policy would refuse it, silently."""
    text = path.read_text()
    assert not re.search(r"<style\b|\sstyle=|\son[a-z]+=\"|javascript:", text)
    for attributes in re.findall(r"<script\b([^>]*)>", text):
        assert "src=" in attributes or "application/" in attributes


def test_no_line_is_too_long_to_be_read() -> None:
    """House rule: a template's line has at most 120 columns."""
    long = [
        f"{path.relative_to(ROOT)}:{number}"
        for path in TEMPLATES
        for number, line in enumerate(path.read_text().splitlines(), 1)
        if len(line) > LONGEST
    ]
    assert long == []


@pytest.mark.parametrize("path", PAGES, ids=lambda p: str(p.relative_to(ROOT)))
def test_every_field_and_button_says_what_kind_it_is(path: Path) -> None:
    """Without that a button sends whatever form it stands in."""
    tag = r"<(?:button|input)\b(?:\{[%{].*?[%}]\}|[^>{])*>"
    for found in re.findall(tag, path.read_text(), re.DOTALL):
        assert "type=" in found or "attrs" in found, found


def test_every_picture_keeps_its_room_and_says_what_it_shows() -> None:
    """Nothing moves once it has come; only an incident's may be of any size."""
    tag = r"<img\b(?:\{[%{].*?[%}]\}|[^>{])*>"
    for path in PAGES:
        for found in re.findall(tag, path.read_text(), re.DOTALL):
            assert "alt=" in found, path
            sized = "width=" in found and "height=" in found
            assert sized or path.stem == "incident", (path, found)


def test_the_vocabulary_is_in_the_style_sheets() -> None:
    """Every class the README promises has a rule."""
    readme = (ROOT / "heritage/common/README.md").read_text()
    promised = set(re.findall(r"\b(?:tag|act|count|d|ledger)-[a-z]+\b", readme))
    for names in re.findall(r'class="([a-z -]+)"', readme):
        promised.update(names.split())
    css = "".join(sheet.read_text() for sheet in LOOK.glob("*.css"))
    ruled = set(re.findall(r"\.([a-z][\w-]*)", css))
    assert promised <= ruled


def test_nothing_comes_from_elsewhere() -> None:
    for sheet in LOOK.glob("*.css"):
        assert not re.search(r"@import|url\(\s*[\"']?(?:https?:)?//", sheet.read_text())
