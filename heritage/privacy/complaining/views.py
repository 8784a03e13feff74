"""Complaints: anybody's form, the private address, and the organiser's pages."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.doors import asks_and_takes, carried_out, done_or_said, typed
from heritage.people.models import User
from heritage.people.request import Request, VolunteerRequest
from heritage.privacy.complaining import selectors, services
from heritage.privacy.forms import ComplaintForm, OutcomeForm, StepForm
from heritage.privacy.models import Complaint


@opens_to(Role.VISITOR)
@never_cache
@asks_and_takes
def complain(request: Request) -> HttpResponse:
    """Take a complaint from anybody, and lead to its private address."""
    demonstration, form = request.standing.demonstration, ComplaintForm(typed(request))
    by = request.user if isinstance(request.user, User) else None
    made: list[Complaint] = []

    def write() -> object:
        made.append(
            services.complain(
                demonstration=demonstration,
                now=clock.now(),
                by=by,
                **form.cleaned_data,
            )
        )
        return made

    if carried_out(request, form, write):
        messages.success(request, _("It is received. Keep the address of this page."))
        return redirect("privacy:follow", demonstration.slug, made[0].key)
    return render(request, "privacy/complain.html", {"form": form})


@opens_to(Role.VISITOR)
@never_cache
@asks_and_takes
def follow(request: Request, complaint_key: str) -> HttpResponse:
    """Show a complaint to whoever has its private address, and take a line more."""
    rows = Complaint.objects.of(request.standing.demonstration).for_page()
    complaint = get_object_or_404(rows, key=complaint_key)
    form = StepForm(typed(request))

    def write() -> object:
        return services.add_to(
            complaint=complaint, now=clock.now(), **form.cleaned_data
        )

    if carried_out(request, form, write):
        messages.success(request, _("It is added."))
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
    found, form = _complaint(request, pk), StepForm(typed(request))

    def write() -> object:
        return services.answer(
            complaint=found, by=request.user, now=clock.now(), **form.cleaned_data
        )

    if carried_out(request, form, write):
        messages.success(request, _("It is written down; they can read it."))
        return redirect(request.path)
    return _shown(request, pk, form, OutcomeForm())


@opens_to(Role.ORGANISER)
@require_POST
def acknowledge(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Acknowledge a complaint."""
    done_or_said(
        request,
        lambda: services.acknowledge(
            complaint=_complaint(request, pk), by=request.user, now=clock.now()
        ),
        _("It is acknowledged. Tell them too, if they left a way to answer."),
    )
    return redirect("privacy:complaint", request.standing.demonstration.slug, pk)


@opens_to(Role.ORGANISER)
@never_cache
@require_POST
def end(request: VolunteerRequest, pk: int) -> HttpResponse:
    """End a complaint with what came of it."""
    found, form = _complaint(request, pk), OutcomeForm(typed(request))

    def write() -> object:
        return services.end(
            complaint=found, by=request.user, now=clock.now(), **form.cleaned_data
        )

    if carried_out(request, form, write):
        messages.success(request, _("It has ended; they can read how."))
        return redirect("privacy:complaint", request.standing.demonstration.slug, pk)
    return _shown(request, pk, StepForm(), form)


def _shown(
    request: VolunteerRequest, pk: int, step: StepForm, outcome: OutcomeForm
) -> HttpResponse:
    found = _complaint(request, pk)
    day = clock.today(request.standing.demonstration.time_zone)
    context = {
        "line": selectors.complaint_line(found, day),
        "complaint": found,
        "form": step,
        "outcome": outcome,
    }
    return render(request, "privacy/complaint.html", context)


def _complaint(request: VolunteerRequest, pk: int) -> Complaint:
    rows = Complaint.objects.managed_by(request.user)
    here = rows.of(request.standing.demonstration).select_related("demonstration")
    return get_object_or_404(here.for_page(), pk=pk)
