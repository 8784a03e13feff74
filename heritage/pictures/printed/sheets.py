"""Pictures on paper: to choose from, to keep, to hang up and to hand to a newspaper."""

import itertools
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Final

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from heritage.common import sheets as paper
from heritage.kits.paper import blocks as paper_blocks
from heritage.pictures import words
from heritage.pictures.models import Picture
from heritage.pictures.printed.selectors import Chapter, Printed
from heritage.season.models import Demonstration

JPEG: Final = b"\xff\xd8"
# Of a caption on a label, so that eight go on a page.
LABEL_WORDS: Final = 100
Blocks = Iterator[paper_blocks.Block]
PANEL_MM: Final = 118
FIRST_PANEL_MM: Final = 90
# Of that, what a panel's first picture takes where others stand below it.
BESIDE_OTHERS: Final = 0.86
# Says where a picture is on the site.
Address = Callable[[Picture], str]


@dataclass(frozen=True, slots=True)
class Print:
    """How a sheet is printed: when, how large its words, and on which paper."""

    printed_on: date
    large_print: bool = False
    a3: bool = False


def contact_sheet(page: Printed, how: Print) -> bytes:
    """Print numbered thumbnails with names, and what each is cleared for."""
    count = len(page.pictures)
    said = ngettext("%d picture", "%d pictures", count) % count
    return _sheet(
        page.demonstration,
        how,
        title=_("Contact sheet"),
        subtitle=_("%s. Who may see each stands in brackets.") % said,
        blocks=[*_thumbnails(page, how), *_left_out(page)],
    )


def album(page: Printed, how: Print) -> bytes:
    """Print the season's pictures by stage, with captions and credits."""
    return _sheet(
        page.demonstration,
        how,
        title=album_title(),
        subtitle=f"{page.demonstration.crop}, {page.demonstration.year}",
        blocks=[
            *(block for part in page.chapters for block in _chapter(part)),
            *_left_out(page),
        ],
    )


def album_title() -> str:
    """Say what the album is called."""
    return _("The season in pictures")


def labels(page: Printed, how: Print, address: Address) -> bytes:
    """Print a label to hang beside each picture."""
    numbered = [
        _label(number, one, address(one)) for number, one in enumerate(page.pictures, 1)
    ]
    return _sheet(
        page.demonstration,
        how,
        title=_("Labels for an exhibition"),
        subtitle=_("To cut out. Each code leads to the picture and its description."),
        blocks=[
            *([paper_blocks.Labels(numbered, many_words=True)] if numbered else []),
            *_left_out(page),
        ],
    )


def panels(page: Printed, how: Print) -> bytes:
    """Print a panel for each stage, to hang up, always in large print."""
    # The first has the sheet's own title above it.
    highs = itertools.chain([FIRST_PANEL_MM], itertools.repeat(PANEL_MM))
    parts = [list(_panel(*one)) for one in zip(page.chapters, highs, strict=False)]
    return _sheet(
        page.demonstration,
        replace(how, large_print=True),
        title=_("From seed to fibre"),
        subtitle=_("How it was done here in %d") % page.demonstration.year,
        blocks=[paper_blocks.OnePage(part) for part in parts if part],
    )


def press_sheet(page: Printed, how: Print, address: Address) -> bytes:
    """Print the pictures that newspapers may have, each with its credit."""
    home = page.demonstration
    about = [
        paper_blocks.Para(text) for text in home.story.split("\n\n") if text.strip()
    ]
    shown = [block for one in page.pictures for block in _for_press(one, address)]
    return _sheet(
        home,
        how,
        title=_("Pictures for the press"),
        subtitle=f"{home.name}, {home.place_name}".rstrip(", "),
        blocks=[
            *about,
            paper_blocks.Para(
                _(
                    "These pictures alone are cleared for newspapers: print each with "
                    "its credit. Name no child. A picture may be taken back, so please "
                    "look at its page before you print it."
                )
            ),
            *(shown or [_nothing()]),
            *_left_out(page),
        ],
    )


def _sheet(
    demonstration: Demonstration,
    how: Print,
    *,
    title: str,
    subtitle: str,
    blocks: list[paper_blocks.Block],
) -> bytes:
    day = date_format(how.printed_on, "j F Y")
    return paper.sheet(
        title=title,
        subtitle=subtitle,
        blocks=blocks or [_nothing()],
        large_print=how.large_print,
        a3=how.a3,
        footer=paper_blocks.Footer(demonstration.name, _("Printed %s") % day),
    )


def _nothing() -> paper_blocks.Block:
    return paper_blocks.Para(_("No picture is cleared for this yet."))


def _thumbnails(page: Printed, how: Print) -> Blocks:
    photos = [
        photo
        for number, one in enumerate(page.pictures, 1)
        for photo in _photo(one, "small", _named(number, one))
    ]
    if photos:
        yield paper_blocks.Photos(photos, beside=2 if how.large_print else 3)


def _named(number: int, picture: Picture) -> str:
    stage = picture.get_stage_display().capitalize()
    said = f"{number}. {stage}: {_ended(picture)} {picture.credit}."
    return f"{said} [{words.cleared_for(picture)}]"


def _ended(picture: Picture) -> str:
    """Return what a picture is called, with an end to it where words follow."""
    called = str(picture)
    return called if called.endswith((".", "!", "?", "…")) else f"{called}."


def _chapter(part: Chapter) -> Blocks:
    """Give a stage's first picture across the page, the rest two beside each other."""
    first = with_credits(part.pictures[:1], "large")
    rest = with_credits(part.pictures[1:], "small")
    if first or rest:
        heading = paper_blocks.Heading(part.stage.label.capitalize())
        large = [paper_blocks.Photos(first, beside=1, high_mm=84)] if first else []
        yield paper_blocks.Together([heading, *large])
    if rest:
        yield paper_blocks.Photos(rest, beside=2)


def _panel(part: Chapter, high_mm: float) -> Blocks:
    """Give a stage's first picture as wide as the page, and its caption to be read."""
    first, *rest = part.pictures
    photos = _photo(first, "large", words.beside(first))
    others = with_credits(rest, "large")
    if photos or others:
        yield paper_blocks.Heading(part.stage.label.capitalize())
    if others:
        high_mm *= BESIDE_OTHERS
    if photos:
        yield paper_blocks.Photos(photos, beside=1, high_mm=high_mm)
        yield paper_blocks.Para(str(first))
    if others:
        yield paper_blocks.Photos(others, beside=2, high_mm=high_mm / 2)


def _label(number: int, picture: Picture, url: str) -> paper_blocks.Label:
    caption = str(picture)
    if len(caption) > LABEL_WORDS:
        caption = f"{caption[:LABEL_WORDS].rpartition(' ')[0]} …"
    stage = picture.get_stage_display().capitalize()
    return paper_blocks.Label(
        f"{number}. {stage}", [caption, words.beside(picture)], url
    )


def _for_press(picture: Picture, address: Address) -> Blocks:
    photos = _photo(picture, "large", str(picture))
    if photos:
        facts = [
            (_("Credit"), words.credit_line(picture)),
            (_("Rights"), words.rights(picture)),
            (_("Taken"), date_format(picture.taken_on, "j F Y")),
            (_("Page"), address(picture)),
        ]
        photo = paper_blocks.Photos(photos, beside=1, high_mm=64)
        yield paper_blocks.Together([photo, paper_blocks.Facts(facts)])


def with_credits(
    pictures: Sequence[Picture], size: str = "small"
) -> list[paper_blocks.Photo]:
    """Return pictures for paper, each with its caption and credit; no lost one."""
    return [
        photo
        for one in pictures
        for photo in _photo(one, size, f"{_ended(one)} {words.beside(one)}")
    ]


def _photo(picture: Picture, size: str, caption: str) -> list[paper_blocks.Photo]:
    """Return a picture for paper; none where the store has lost it."""
    try:
        with getattr(picture, size).open("rb") as stored:
            jpeg = stored.read()
    except OSError:
        return []
    if not jpeg.startswith(JPEG):
        return []
    alt = picture.alt_text or str(picture)
    return [paper_blocks.Photo(jpeg, alt, caption=caption)]


def _left_out(page: Printed) -> Blocks:
    if page.left_out:
        said = ngettext(
            "%d more picture is on the site.",
            "%d more pictures are on the site.",
            page.left_out,
        )
        yield paper_blocks.Para(said % page.left_out)
