"""Statements and thank-you sheets, for one and for all."""

from collections.abc import Callable

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.sheets import pdf_response
from heritage.people.request import VolunteerRequest
from heritage.people.selectors import is_wanted
from heritage.printing.services import AT_ONCE
from heritage.printing.views import READ_OR_AGAIN, answer
from heritage.tally.statements import selectors, services, sheets
from heritage.tally.statements.selectors import PersonStatement
from heritage.tally.views import own_volunteer

ON_A_PAGE = 10


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
def statement(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show what the book comes to for one person."""
    page = selectors.statement(own_volunteer(request, pk))
    return render(request, "tally/statement.html", {"page": page})


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
def statement_sheet(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Print a person's statement."""
    page = selectors.statement(own_volunteer(request, pk))
    return _printed(request, sheets.statement_sheet, [page], "statement")


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
def thanks_sheet(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Print a person's thank-you sheet, if there is anything to thank them for."""
    page = selectors.statement(own_volunteer(request, pk))
    if not page.is_thanked:
        return redirect("tally:statement", page.demonstration.slug, pk)
    return _printed(request, sheets.thanks_sheet, [page], "thank-you")


@opens_to(Role.ORGANISER)
@never_cache
@require_safe
def statements(request: VolunteerRequest) -> HttpResponse:
    """Show everybody's statement in a line, and what to print."""
    everybody = selectors.totals(request.standing.demonstration)
    wanted = request.GET.get("wanted", "")
    rows = [one for one in everybody if is_wanted(one.volunteer, wanted)]
    pages = Paginator(rows, ON_A_PAGE).get_page(request.GET.get("page"))
    context = {"pages": pages, "wanted": wanted, "any": bool(everybody)}
    return render(request, "tally/statements.html", context)


@opens_to(Role.ORGANISER)
@never_cache
@require_http_methods(READ_OR_AGAIN)
def statements_sheet(request: VolunteerRequest) -> HttpResponse:
    """Print everybody's statement, a page each."""
    pages = selectors.statements(request.standing.demonstration)
    return _everybodys(request, services.STATEMENTS, pages)


@opens_to(Role.ORGANISER)
@never_cache
@require_http_methods(READ_OR_AGAIN)
def all_thanks_sheet(request: VolunteerRequest) -> HttpResponse:
    """Print a thank-you sheet for everybody who did something, a page each."""
    demonstration = request.standing.demonstration
    pages = selectors.statements(demonstration, thanked=True)
    if not pages:
        return redirect("tally:statements", demonstration.slug)
    return _everybodys(request, services.THANKS, pages)


def _everybodys(
    request: VolunteerRequest, kind: str, pages: list[PersonStatement]
) -> HttpResponse:
    """Print a sheet each: for few at once, for many beside everything else."""
    if len(pages) <= AT_ONCE:
        return _printed(request, services.SHEET_OF[kind], pages, kind)
    home, large = request.standing.demonstration, "large" in request.GET
    order = services.everybodys(home, kind, pages, clock.now(), large=large)
    return answer(request, order)


def _printed(
    request: VolunteerRequest,
    sheet: Callable[..., bytes],
    pages: list[PersonStatement],
    name: str,
) -> HttpResponse:
    demonstration = request.standing.demonstration
    pdf = sheet(
        pages,
        demonstration,
        printed_on=clock.today(demonstration.time_zone),
        large_print="large" in request.GET,
    )
    return pdf_response(pdf, name)
