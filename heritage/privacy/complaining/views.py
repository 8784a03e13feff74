"""Complaints: anybody's form, the private address, and the organiser's pages."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to, row_or_404
from heritage.common.forms import asks_and_takes, refusals_shown, typed
from heritage.people.models import User
from heritage.people.request import Request, VolunteerRequest
from heritage.privacy.complaining import selectors, services
from heritage.privacy.forms import ComplaintForm, OutcomeForm, StepForm
from heritage.privacy.models import Complaint, ComplaintStep


@opens_to(Role.VISITOR)
@never_cache
@asks_and_takes
def complain(request: Request) -> HttpResponse:
    """Take a complaint from anybody, and lead to its private address."""
    here = request.standing.demonstration
    form = ComplaintForm(typed(request), instance=Complaint(demonstration=here))
    by = request.user if isinstance(request.user, User) else None
    if form.submit(by=by, now=clock.now()):
        messages.success(request, _("Complaint sent. Keep this page's address."))
        return redirect("privacy:follow", here.slug, form.saved.key)
    return render(request, "privacy/complain.html", {"form": form})


@opens_to(Role.VISITOR)
@never_cache
@asks_and_takes
def follow(request: Request, complaint_key: str) -> HttpResponse:
    """Show a complaint to anybody with its private address, and take a line more."""
    rows = Complaint.objects.of(request.standing.demonstration).for_page()
    complaint = get_object_or_404(rows, key=complaint_key)
    form = StepForm(typed(request), instance=ComplaintStep(complaint=complaint))
    if form.submit(now=clock.now()):
        messages.success(request, _("Added."))
        return redirect(request.path)
    context = {"complaint": complaint, "form": form}
    response = render(request, "privacy/follow.html", context)
    # The address is the key: it goes to nobody by way of a link.
    response["Referrer-Policy"] = "no-referrer"
    return response


@opens_to(Role.ORGANISER)
@never_cache
@require_safe
def complaints(request: VolunteerRequest) -> HttpResponse:
    """List every complaint, those to acknowledge first."""
    page = selectors.complaints_page(request.standing.demonstration, clock.now())
    return render(request, "privacy/complaints.html", {"page": page})


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def complaint(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show one complaint, and take an answer."""
    row = _complaint(request, pk)
    form = StepForm(typed(request), instance=ComplaintStep(complaint=row))
    if form.submit(by=request.user, now=clock.now()):
        messages.success(request, _("Answer sent. They can read it."))
        return redirect(request.path)
    return _shown(request, pk, form, OutcomeForm())


@opens_to(Role.ORGANISER)
@require_POST
def acknowledge(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Acknowledge a complaint."""
    row = _complaint(request, pk)
    with refusals_shown(request):
        services.acknowledge(complaint=row, by=request.user, now=clock.now())
        words = _("Acknowledged. Tell them too, if they left a way to answer.")
        messages.success(request, words)
    return redirect("privacy:complaint", request.standing.demonstration.slug, pk)


@opens_to(Role.ORGANISER)
@never_cache
@require_POST
def end(request: VolunteerRequest, pk: int) -> HttpResponse:
    """End a complaint with what came of it."""
    form = OutcomeForm(typed(request), instance=_complaint(request, pk))
    if form.submit(by=request.user, now=clock.now()):
        messages.success(request, _("Complaint ended. They can read the outcome."))
        return redirect("privacy:complaint", request.standing.demonstration.slug, pk)
    return _shown(request, pk, StepForm(), form)


def _shown(
    request: VolunteerRequest, pk: int, step: StepForm, outcome: OutcomeForm
) -> HttpResponse:
    row = _complaint(request, pk)
    day = clock.today(request.standing.demonstration.time_zone)
    context = {
        "line": selectors.complaint_line(row, day),
        "complaint": row,
        "form": step,
        "outcome": outcome,
    }
    return render(request, "privacy/complaint.html", context)


def _complaint(request: VolunteerRequest, pk: int) -> Complaint:
    rows = Complaint.objects.managed_by(request.user).select_related("demonstration")
    return row_or_404(rows.for_page(), request, pk)
