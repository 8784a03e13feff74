"""What belongs together for a hall and for a school, the short before the long."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

from django.conf import settings

from heritage.common.sheets import bound
from heritage.kits.paper.leaf import Tell
from heritage.people.agreements.selectors import current_words
from heritage.people.models import Subject
from heritage.pictures.printed.selectors import panels, told_of
from heritage.pictures.printed.sheets import Print
from heritage.pictures.printed.sheets import panels as print_panels
from heritage.pictures.sheets import permission_sheet
from heritage.public import selectors
from heritage.public.process import sheets as process
from heritage.public.process.selectors import Season, fronts
from heritage.public.process.words import names
from heritage.public.sheets import poster
from heritage.public.shelf.selectors import next_evening

# A sheet in large print takes about so many pages.
LARGE = 4


@dataclass(frozen=True, slots=True)
class Part:
    """Sheets that are drawn together: how many pages, what they say, and how."""

    pages: int
    says: Any
    draw: Callable[[Tell], Sequence[bytes]]


def in_turn(parts: Sequence[Part], *, title: str, owner: str, tell: Tell) -> bytes:
    """Draw parts one after the other and bind them; tell how many pages are drawn."""
    drawn: list[bytes] = []
    done = 0
    for part in parts:
        drawn += part.draw(_counted(tell, done))
        done += part.pages
        tell(done)
    return bound(drawn, title=title, owner=owner)


def _counted(tell: Tell, before: int) -> Tell:
    return lambda pages: tell(before + pages)


def hall(season: Season) -> Iterator[Part]:
    """Give what hangs in a hall, all on A3: the next poster, pictures, every sheet."""
    yield from _poster(season)
    shown = panels(season.demonstration)
    if shown.chapters:
        how = Print(season.today, a3=True)
        told = [told_of(one) for one in shown.pictures]
        yield Part(len(shown.chapters), told, lambda tell: [print_panels(shown, how)])
    yield Part(len(names()), season.said, lambda tell: _panels(season, tell))


def school(season: Season, *, for_helpers: bool, large: bool) -> Iterator[Part]:
    """Give what a class wants: a permission to sign, cards, and every sheet."""
    home = season.demonstration
    if for_helpers:
        pdf = permission_sheet(
            home,
            current_words(home, Subject.PHOTOGRAPH),
            child=True,
            printed_on=season.today,
            large_print=large,
        )
        yield Part(1, pdf, lambda tell: [pdf])
    yield Part(process.cards_pages(), "cards", lambda tell: _cards(season, tell))
    if large:
        pages = LARGE * len(names())
        yield Part(pages, season.said, lambda tell: _large(season, tell))
    else:
        pages = process.booklet_pages()
        yield Part(pages, season.said, lambda tell: _booklet(season, tell))


def _poster(season: Season) -> Iterator[Part]:
    """Give the next evening's poster: it says most that changes, and is soon drawn."""
    evening = next_evening(season.demonstration, season.now)
    if evening:
        pdf = poster(
            selectors.poster(evening),
            address=settings.SITE_ADDRESS + evening.get_absolute_url(),
            printed_on=season.today,
            large_print=False,
            a3=True,
        )
        yield Part(1, pdf, lambda tell: [pdf])


def _panels(season: Season, tell: Tell) -> list[bytes]:
    here = fronts(season.demonstration, season.now)
    return _each(here, tell, 1, process.process_panel)


def _large(season: Season, tell: Tell) -> list[bytes]:
    return _each(season, tell, LARGE, partial(process.process_sheet, large_print=True))


def _each(
    season: Season, tell: Tell, pages: int, draw: Callable[..., bytes]
) -> list[bytes]:
    """Draw every sheet in one way."""
    drawn = []
    for number, page in enumerate(season.pages, 1):
        address = process.stage_address(page)
        drawn.append(draw(page, address=address, printed_on=season.today))
        tell(number * pages)
    return drawn


def _cards(season: Season, tell: Tell) -> list[bytes]:
    here = fronts(season.demonstration, season.now)
    return [process.all_cards(process.leaves(here), tell)]


def _booklet(season: Season, tell: Tell) -> list[bytes]:
    return [process.booklet(process.leaves(season), tell)]
