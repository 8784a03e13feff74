"""The emergency plan: read by everybody who works here, written by organisers."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from heritage.briefings.emergency import selectors, sheets
from heritage.briefings.emergency.forms import EmergencyPlanForm, FirstAidPointForm
from heritage.briefings.models import EmergencyPlan, FirstAidPoint
from heritage.common import clock
from heritage.common.access import Role, opens_to, row_or_new
from heritage.common.forms import RecordPage, asks_and_takes, take_record, typed
from heritage.common.sheets import pdf_response
from heritage.people.request import Request, VolunteerRequest


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
def emergency(request: VolunteerRequest) -> HttpResponse:
    """Show the plan in large type, its numbers ready to dial."""
    page = selectors.emergency_page(request.standing.demonstration)
    return render(request, "briefings/emergency.html", {"page": page})


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
def emergency_sheet(request: VolunteerRequest) -> HttpResponse:
    """Print the plan, with a line to write on where it says nothing."""
    demonstration = request.standing.demonstration
    pdf = sheets.emergency_sheet(
        selectors.emergency_page(demonstration),
        printed_on=clock.today(demonstration.time_zone),
        large_print="large" in request.GET,
    )
    return pdf_response(pdf, "emergency-sheet")


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def edit_emergency(request: VolunteerRequest) -> HttpResponse:
    """Write the plan, or change it."""
    here = request.standing.demonstration
    plan = EmergencyPlan.objects.of(here).first() or EmergencyPlan(demonstration=here)
    form = EmergencyPlanForm(typed(request), instance=plan)
    page = RecordPage(
        title=_("Emergency sheet"),
        lead=_("Leave out what you don't know yet: it prints as a line to fill in."),
        submit=_("Save the plan"),
        kept=_("Plan saved. Print it again where it hangs."),
        back=_back(request),
    )
    response = take_record(request, form, page, by=request.user, now=clock.now())
    if form.saved:
        _say_if_too_long(request)
    return response


@opens_to(Role.ORGANISER)
@asks_and_takes
def take_first_aid_point(
    request: VolunteerRequest, pk: int | None = None
) -> HttpResponse:
    """Write down where a first-aid kit is, change it, or take it away."""
    rows = FirstAidPoint.objects.managed_by(request.user)
    point = row_or_new(rows.select_related("demonstration"), request, pk)
    form = FirstAidPointForm(typed(request), instance=point)
    page = RecordPage(
        title=_("First-aid point"),
        lead=_("Say where it is, so that a newcomer finds it at dusk."),
        submit=_("Save"),
        kept=_("First-aid point saved."),
        back=_back(request),
        remove=_("Remove this point"),
        removed=_("First-aid point removed."),
    )
    response = take_record(request, form, page)
    if form.saved:
        _say_if_too_long(request)
    return response


def _say_if_too_long(request: Request) -> None:
    """Say that the sheet has a second page, which the gate would not show."""
    here = request.standing.demonstration
    today = clock.today(here.time_zone)
    if sheets.runs_over(selectors.emergency_page(here), today):
        messages.warning(
            request,
            _("The emergency sheet runs over one page now. Shorten the long lines."),
        )


def _back(request: Request) -> str:
    return reverse("briefings:emergency", args=[request.standing.demonstration.slug])
