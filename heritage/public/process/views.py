"""The process sheets, each as a sheet, a panel and a card, and all of them at once."""

from datetime import date
from typing import TypedDict

from django.conf import settings
from django.http import Http404, HttpResponse
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.sheets import pdf_response
from heritage.kits.paper.leaf import Leaf
from heritage.people.request import Request
from heritage.public.process import sheets
from heritage.public.process.selectors import (
    ProcessPage,
    process_front,
    process_page,
    process_season,
)
from heritage.public.process.words import names


@opens_to(Role.VISITOR)
@never_cache
@require_safe
def process_sheet(request: Request, sheet: str) -> HttpResponse:
    """Print a sheet, in large print, or its front as a panel."""
    panel, large = "a3" in request.GET, "large" in request.GET
    page, printed = _page(request, sheet, front=panel)
    if panel:
        pdf = sheets.process_panel(page, **printed)
    else:
        pdf = sheets.process_sheet(page, **printed, large_print=large)
    return pdf_response(pdf, f"process-{sheet.replace('_', '-')}")


@opens_to(Role.VISITOR)
@never_cache
@require_safe
def card(request: Request, sheet: str) -> HttpResponse:
    """Print a sheet as a child's card."""
    page, printed = _page(request, sheet, front=True)
    pdf = sheets.process_card(page, **printed)
    return pdf_response(pdf, f"card-{sheet.replace('_', '-')}")


@opens_to(Role.VISITOR)
@never_cache
@require_safe
def cards(request: Request) -> HttpResponse:
    """Print every child's card."""
    return pdf_response(sheets.all_cards(_leaves(request)), "cards")


@opens_to(Role.VISITOR)
@never_cache
@require_safe
def booklet(request: Request) -> HttpResponse:
    """Print every sheet in one booklet."""
    return pdf_response(sheets.booklet(_leaves(request)), "booklet")


class Printed(TypedDict):
    """Where a sheet's code leads, and the day it is printed."""

    address: str
    printed_on: date


def _page(
    request: Request, name: str, *, front: bool = False
) -> tuple[ProcessPage, Printed]:
    """Return a sheet, or only what its front says: panel and card have no more."""
    shown = request.standing.demonstration
    if name not in names():
        raise Http404
    page = (
        process_front(shown, name) if front else process_page(shown, name, clock.now())
    )
    return page, _printed(page)


def _printed(page: ProcessPage) -> Printed:
    shown = page.demonstration
    path = reverse("public:stage", args=[shown.slug, page.stage.value])
    return Printed(
        address=settings.SITE_ADDRESS + path, printed_on=clock.today(shown.time_zone)
    )


def _leaves(request: Request) -> list[Leaf]:
    season = process_season(request.standing.demonstration, clock.now())
    pages = map(season.page, names())
    return [sheets.process_leaf(page, **_printed(page)) for page in pages]
