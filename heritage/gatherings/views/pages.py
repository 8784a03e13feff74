"""The list of gatherings, and one gathering's page."""

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.sheets import pdf_response
from heritage.gatherings import selectors, sheets
from heritage.gatherings.drawings import light_svg, places_svg
from heritage.gatherings.models import Gathering
from heritage.gatherings.views.doors import led, seen
from heritage.people.request import Request, VolunteerRequest

PAST_ON_A_PAGE = 20


@opens_to(Role.VISITOR)
@never_cache
@require_safe
def list_(request: Request) -> HttpResponse:
    """List the gatherings to come, then those that are over."""
    now = clock.now()
    rows = Gathering.objects.visible_to(request.user)
    rows = rows.of(request.standing.demonstration).for_page()
    past = Paginator(rows.over(now), PAST_ON_A_PAGE)
    page_obj = past.get_page(request.GET.get("page"))
    reader = request.standing.volunteer
    context = {
        "places": selectors.my_places(reader, now) if reader else [],
        "upcoming": selectors.gathering_lines(rows.upcoming(now)),
        "past": selectors.gathering_lines(page_obj.object_list),
        "page_obj": page_obj,
    }
    return render(request, "gatherings/gathering_list.html", context)


@opens_to(Role.VISITOR)
@never_cache
@require_safe
def gathering(request: Request, pk: int) -> HttpResponse:
    """Show a gathering: its times, its light, its stations and its call."""
    row, now = seen(request, pk), clock.now()
    is_led = Gathering.objects.led_by(request.user).filter(pk=pk).exists()
    page = selectors.gathering_page(
        row,
        now=now,
        volunteer=request.standing.volunteer,
        is_led=is_led,
    )
    strips = [places_svg(view.station, view.filling) for view in page.stations]
    context = {
        "page": page,
        "drawing": light_svg(row, page.light),
        "letters": selectors.letters_about(row, now)
        if is_led and now < row.ends_at
        else (),
        "first_aid": selectors.first_aid_warnings(row) if is_led else [],
        "opens": {
            "first_aid": Gathering.objects.first_aid_by(request.user, now).contains(
                row
            ),
            "emergency": Gathering.objects.emergency_by(request.user, now).contains(
                row
            ),
        },
        "stations": list(zip(page.stations, strips, strict=True)),
    }
    return render(request, "gatherings/gathering.html", context)


@opens_to(Role.LEAD)
@never_cache
@require_safe
def sign_in_sheet(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Print the evening's sign-in and tally sheet."""
    row = led(request, pk)
    sheet = selectors.sign_in_sheet(row)
    pdf = sheets.sign_in_sheet(
        sheet,
        printed_on=clock.today(row.demonstration.time_zone),
        large_print="large" in request.GET,
    )
    return pdf_response(pdf, "sign-in")
