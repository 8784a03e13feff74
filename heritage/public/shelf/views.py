"""The shelf of sheets, and those of it that are printed together."""

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import resolve
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.sheets import bound, pdf_response
from heritage.people.request import Request
from heritage.printing.views import READ_OR_AGAIN, answer
from heritage.public.shelf import services
from heritage.public.shelf.selectors import ShelfPage, shelf_page

TYPE, PDF = "Content-Type", "application/pdf"


@opens_to(Role.VISITOR)
@never_cache
@require_safe
def shelf(request: Request) -> HttpResponse:
    """Show every sheet that the reader may print."""
    return render(request, "public/shelf.html", {"page": _page(request)})


@opens_to(Role.VISITOR)
@never_cache
@require_http_methods(READ_OR_AGAIN)
def print_pack(request: Request, pack: str) -> HttpResponse:
    """Print sheets together: tonight's at once, by the rules of each; others beside."""
    if pack == "tonight" and request.method != "POST":
        return _tonight(request)
    home, now = request.standing.demonstration, clock.now()
    if pack == services.HALL:
        return answer(request, services.hall(home, now))
    if pack == services.SCHOOL:
        helper, large = request.role >= Role.VOLUNTEER, "large" in request.GET
        order = services.school(home, now, for_helpers=helper, large=large)
        return answer(request, order)
    raise Http404


def _tonight(request: Request) -> HttpResponse:
    for one in _page(request).packs:
        if one.name == "tonight":
            printed = [_printed(request, sheet.url) for sheet in one.sheets]
            sheets = [sheet.content for sheet in printed if sheet[TYPE] == PDF]
            owner = request.standing.demonstration.name
            return pdf_response(bound(sheets, title=one.title, owner=owner), one.name)
    raise Http404


def _page(request: Request) -> ShelfPage:
    standing = request.standing
    return shelf_page(
        standing.demonstration,
        request.user,
        standing.role,
        standing.volunteer,
        clock.now(),
    )


def _printed(request: Request, address: str) -> HttpResponse:
    found = resolve(address)
    response: HttpResponse = found.func(request, *found.args, **found.kwargs)
    return response
