"""The process sheets, each as a sheet, a panel and a card, and all of them at once."""

from datetime import date
from typing import TypedDict

from django.http import Http404, HttpResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.sheets import pdf_response
from heritage.people.request import Request
from heritage.printing.views import READ_OR_AGAIN, answer
from heritage.public.process import services, sheets
from heritage.public.process.selectors import ProcessPage, fronts, process_page
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
@require_http_methods(READ_OR_AGAIN)
def cards(request: Request) -> HttpResponse:
    """Print every child's card."""
    order = services.cards(request.standing.demonstration, clock.now())
    return answer(request, order)


@opens_to(Role.VISITOR)
@never_cache
@require_http_methods(READ_OR_AGAIN)
def booklet(request: Request) -> HttpResponse:
    """Print every sheet in one booklet."""
    order = services.booklet(request.standing.demonstration, clock.now())
    return answer(request, order)


class Printed(TypedDict):
    """Where a sheet's code leads, and the day it is printed."""

    address: str
    printed_on: date


def _page(
    request: Request, name: str, *, front: bool = False
) -> tuple[ProcessPage, Printed]:
    """Return a sheet, or only what its front says: panel and card have no more."""
    shown, now = request.standing.demonstration, clock.now()
    if name not in names():
        raise Http404
    page = fronts(shown, now).page(name) if front else process_page(shown, name, now)
    return page, _printed(page)


def _printed(page: ProcessPage) -> Printed:
    today = clock.today(page.demonstration.time_zone)
    return Printed(address=sheets.stage_address(page), printed_on=today)
