"""Runs of evenings: the list, one with its evenings, its end."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.gatherings import selectors, services
from heritage.gatherings.forms import EndRunForm
from heritage.gatherings.views.doors import run_of
from heritage.people.request import VolunteerRequest


@opens_to(Role.ORGANISER)
@never_cache
@require_safe
def list_(request: VolunteerRequest) -> HttpResponse:
    """List the runs, the newest first."""
    lines = selectors.runs_page(request.standing.demonstration, clock.now())
    return render(request, "gatherings/run_list.html", {"lines": lines})


@opens_to(Role.ORGANISER)
@never_cache
@require_safe
def run(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show a run: its evenings, and what can be done with them together."""
    page = selectors.run_page(run_of(request, pk), clock.now())
    context = {"page": page, "form": EndRunForm()}
    return render(request, "gatherings/run.html", context)


@opens_to(Role.ORGANISER)
@require_POST
def end(request: VolunteerRequest, pk: int) -> HttpResponse:
    """End a run: the rest is called off, and those signed up are told."""
    row, form = run_of(request, pk), EndRunForm(request.POST)
    if not form.is_valid():
        page = selectors.run_page(row, clock.now())
        return render(request, "gatherings/run.html", {"page": page, "form": form})
    ended = services.end_run(
        run=row, by=request.user, now=clock.now(), note=form.cleaned_data["note"]
    )
    if ended:
        words = ngettext(
            "The run is ended: %d evening will not take place.",
            "The run is ended: %d evenings will not take place.",
            ended,
        )
        messages.success(request, words % ended)
    else:
        messages.info(request, _("The run is ended: nothing was left to call off."))
    return redirect(row)


@opens_to(Role.ORGANISER)
@require_POST
def take_out(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Let one evening stand alone."""
    row = run_of(request, pk)
    key = request.POST.get("gathering", "")
    found = get_object_or_404(
        row.gatherings.for_page(), pk=int(key) if key.isdecimal() else 0
    )
    services.take_out(run=row, gathering=found)
    messages.success(request, _("“%s” stands alone now.") % found)
    return redirect(row)
