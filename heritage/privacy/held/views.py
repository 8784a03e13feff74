"""What is held about one person: a page, a file and a sheet; taking a word back."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to, row_or_404
from heritage.common.forms import safe_next
from heritage.common.sheets import pdf_response
from heritage.people.models import Agreement
from heritage.people.request import VolunteerRequest
from heritage.privacy.held import selectors, services, sheets
from heritage.privacy.views import myself, own_record


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
def mine(request: VolunteerRequest) -> HttpResponse:
    """Lead to one's own record."""
    return redirect(
        "privacy:held", request.standing.demonstration.slug, myself(request).pk
    )


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
def held(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show everything that is held about one person."""
    person = own_record(request, pk)
    context = {
        "page": selectors.held(person, clock.now()),
        "rights": selectors.rights(person),
        "is_mine": person == request.standing.volunteer,
    }
    return render(request, "privacy/held.html", context)


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
def held_file(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Send everything that is held about one person, for another program to read."""
    page = selectors.held(own_record(request, pk), clock.now())
    response = HttpResponse(
        sheets.held_file(page), content_type="application/json; charset=utf-8"
    )
    response["Content-Disposition"] = 'attachment; filename="held-about-me.json"'
    return response


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
def held_sheet(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Print everything that is held about one person."""
    page = selectors.held(own_record(request, pk), clock.now())
    pdf = sheets.held_sheet(
        page,
        printed_on=clock.today(page.demonstration.time_zone),
        large_print="large" in request.GET,
    )
    return pdf_response(pdf, "held-about-me")


@opens_to(Role.VOLUNTEER)
@require_POST
def take_back(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Take an agreement back, with everything that hangs on it, at once."""
    rows = Agreement.objects.visible_to(request.user).select_related("volunteer")
    agreement = row_or_404(rows, request, pk)
    down = services.take_back(agreement=agreement, by=request.user, now=clock.now())
    messages.success(request, _("Taken back."))
    if down:
        messages.success(
            request,
            ngettext(
                "%d picture is no longer shown to visitors.",
                "%d pictures are no longer shown to visitors.",
                len(down),
            )
            % len(down),
        )
    record = reverse(
        "privacy:held",
        args=[request.standing.demonstration.slug, agreement.volunteer_id],
    )
    return redirect(safe_next(request, record))
