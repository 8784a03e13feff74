"""How a sheet is printed, in the language of this site, and how it leaves the site."""

from collections.abc import Sequence
from typing import Final

from django.http import HttpResponse
from django.utils.translation import gettext as _

from heritage.kits.paper import bill as paper_bill
from heritage.kits.paper import booklet
from heritage.kits.paper import sheet as paper
from heritage.kits.paper.bill import Bill
from heritage.kits.paper.binding import bind
from heritage.kits.paper.blocks import Block, Footer, Words
from heritage.kits.paper.booklet import Cover
from heritage.kits.paper.leaf import Leaf, Tell, to_nobody

LANGUAGE: Final = "en-GB"


def sheet(
    *,
    title: str,
    blocks: Sequence[Block],
    subtitle: str = "",
    footer: Footer | None = None,
    large_print: bool = False,
    landscape: bool = False,
    one_page: bool = False,
    a3: bool = False,
    tell: Tell = to_nobody,
) -> bytes:
    """Print a sheet; all of it is as in `heritage.kits.paper.sheet`."""
    return paper.sheet(
        title=title,
        language=LANGUAGE,
        words=paper_words(),
        blocks=blocks,
        subtitle=subtitle,
        footer=footer,
        large_print=large_print,
        landscape=landscape,
        one_page=one_page,
        a3=a3,
        tell=tell,
    )


def bill(page: Bill, *, large_print: bool, a3: bool = False) -> bytes:
    """Print a bill; all of it is as in `heritage.kits.paper.bill`."""
    return paper_bill.bill(
        page, language=LANGUAGE, words=paper_words(), large_print=large_print, a3=a3
    )


def bound(sheets: Sequence[bytes], *, title: str, owner: str) -> bytes:
    """Bind sheets into one file; all of it is as in `heritage.kits.paper.binding`."""
    return bind(sheets, title=title, language=LANGUAGE, author=owner)


def leaf(page: Leaf) -> bytes:
    """Print a leaf of drawn steps, front and back."""
    return booklet.leaf_pdf(page, language=LANGUAGE, words=paper_words())


def panel(page: Leaf) -> bytes:
    """Print a leaf's front on A3."""
    return booklet.panel_pdf(page, language=LANGUAGE, words=paper_words())


def card(page: Leaf) -> bytes:
    """Print a leaf as a child's card, on A6."""
    return booklet.card_pdf(page, language=LANGUAGE, words=paper_words())


def cards(title: str, pages: Sequence[Leaf], tell: Tell = to_nobody) -> bytes:
    """Print the cards of many leaves, four to a page."""
    return booklet.cards_pdf(
        title, pages, language=LANGUAGE, words=paper_words(), tell=tell
    )


def all_leaves(cover: Cover, tell: Tell = to_nobody) -> bytes:
    """Print many leaves as one booklet."""
    return booklet.booklet_pdf(cover, language=LANGUAGE, words=paper_words(), tell=tell)


def paper_words() -> Words:
    """Return the words that a sheet prints of its own accord."""
    return Words(
        page=_("Page {page} of {pages}"),
        printed_from=_("Printed from {address}"),
        qr=_("QR code for {address}"),
        warning=_("Warning"),
        # Their sentences say what to do or leave: "Do not: Nobody rides" says neither.
        prohibition="",
        mandatory="",
        safe=_("Safe"),
        first_aid=_("First aid"),
        signed=_("Signed"),
        date=_("Date"),
    )


def pdf_response(pdf: bytes, name: str) -> HttpResponse:
    """Answer with a sheet that opens in the reader's browser under a plain name.

    ``name`` is a word of ours, never something that somebody typed.
    """
    response = HttpResponse(pdf, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return response
