"""Pictures on paper."""

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.sheets import pdf_response
from heritage.people.request import Request, VolunteerRequest
from heritage.pictures.forms import FindForm
from heritage.pictures.models import Picture
from heritage.pictures.printed import selectors, services, sheets
from heritage.pictures.printed.sheets import Address, Print
from heritage.pictures.selectors import to_be_found
from heritage.printing.views import READ_OR_AGAIN, answer


@opens_to(Role.ORGANISER)
@never_cache
@require_safe
def contact_sheet(request: VolunteerRequest) -> HttpResponse:
    """Print what the picture page shows for the same question, numbered."""
    home = request.standing.demonstration
    people = to_be_found(home, request.user, all_=True)
    form = FindForm(request.GET, here=home, reader=request.user, people=people)
    page = selectors.contact(home, request.user, form.asked)
    return pdf_response(sheets.contact_sheet(page, _how(request)), "contact-sheet")


@opens_to(Role.VISITOR)
@never_cache
@require_http_methods(READ_OR_AGAIN)
def album_sheet(request: Request) -> HttpResponse:
    """Print the season's pictures by stage."""
    how = _how(request)
    order = services.album(
        request.standing.demonstration,
        clock.now(),
        large=how.large_print,
        a3=how.a3,
    )
    return answer(request, order)


@opens_to(Role.VISITOR)
@never_cache
@require_safe
def panel_sheets(request: Request) -> HttpResponse:
    """Print a panel for each stage."""
    page = selectors.panels(request.standing.demonstration)
    return pdf_response(sheets.panels(page, _how(request)), "panels")


@opens_to(Role.ORGANISER)
@never_cache
@require_safe
def label_sheet(request: VolunteerRequest) -> HttpResponse:
    """Print labels to hang beside the pictures."""
    page = selectors.labels(request.standing.demonstration)
    pdf = sheets.labels(page, _how(request), _address(request))
    return pdf_response(pdf, "labels")


@opens_to(Role.ORGANISER)
@never_cache
@require_safe
def press_sheet(request: VolunteerRequest) -> HttpResponse:
    """Print the pictures that newspapers may have."""
    page = selectors.press(request.standing.demonstration)
    pdf = sheets.press_sheet(page, _how(request), _address(request))
    return pdf_response(pdf, "press-sheet")


def _how(request: HttpRequest) -> Print:
    asked = request.GET
    home = request.standing.demonstration  # type: ignore[attr-defined]
    return Print(
        printed_on=clock.today(home.time_zone),
        large_print=asked.get("large") == "1",
        a3=asked.get("a3") == "1",
    )


def _address(request: HttpRequest) -> Address:
    def address(picture: Picture) -> str:
        args = [picture.demonstration.slug, picture.pk]
        return request.build_absolute_uri(reverse("pictures:picture", args=args))

    return address
