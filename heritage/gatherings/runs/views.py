"""Runs of evenings: the list, one with its evenings, its end."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to, row_or_404
from heritage.common.forms import asks_and_takes, typed
from heritage.gatherings.forms import (
    EndRunForm,
    RunEditForm,
    RunForm,
    gathering_initial,
)
from heritage.gatherings.ground.forms import station_initial
from heritage.gatherings.models import Run
from heritage.gatherings.runs import selectors, services
from heritage.gatherings.views import able_in_first_aid, beginning
from heritage.growth.selectors import pulling_window
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
    row, now = run_of(request, pk), clock.now()
    form = EndRunForm(request.POST)
    if not form.submit(run=row, by=request.user, now=now):
        page = selectors.run_page(row, now)
        return render(request, "gatherings/run.html", {"page": page, "form": form})
    if form.saved:
        words = ngettext(
            "The run is ended: %d evening will not take place.",
            "The run is ended: %d evenings will not take place.",
            form.saved,
        )
        messages.success(request, words % form.saved)
    else:
        messages.info(request, _("Ended. There was nothing left to call off."))
    return redirect(row)


@opens_to(Role.ORGANISER)
@require_POST
def take_out(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Let one evening stand alone."""
    row = run_of(request, pk)
    key = request.POST.get("gathering", "")
    evenings = row.gatherings.for_page()
    evening = get_object_or_404(evenings, pk=int(key) if key.isdecimal() else 0)
    services.take_out(run=row, gathering=evening)
    messages.success(request, _("“%s” is on its own now.") % evening)
    return redirect(row)


MONDAY_TO_FRIDAY = [0, 1, 2, 3, 4]


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def post(request: VolunteerRequest) -> HttpResponse:
    """Ask for a run, show every evening of it, then post those left ticked."""
    now, (initial, stations) = clock.now(), beginning(request)
    form = RunForm(
        typed(request),
        initial=initial | {"weekdays": MONDAY_TO_FRIDAY, "by_light": True},
        stations=stations,
        demonstration=request.standing.demonstration,
        first_aiders=able_in_first_aid(request, None),
    )
    evenings = form.evenings(now)
    if evenings and form.are_shown(evenings):
        if form.submit(evenings=evenings, by=request.user, now=now):
            _say_posted(request, form)
            return redirect(form.saved)
    elif evenings and "preview" not in request.POST:
        words = _("Look the evenings over, untick any, and post them below.")
        messages.info(request, words)
    form.rows.mark_needed()
    context = {
        "form": form,
        "rows": form.rows,
        "evenings": form.ticks(evenings),
        "window": None if evenings else pulling_window(request.standing.demonstration),
    }
    return render(request, "gatherings/run_post.html", context)


def _say_posted(request: VolunteerRequest, form: RunForm) -> None:
    as_draft = "draft" in request.POST
    words = (
        _("The evenings are kept as drafts.") if as_draft else _("The run is posted.")
    )
    messages.success(request, words)
    if form.cleaned_data["first_aider"] is None:
        messages.warning(request, _("No first-aider is chosen for these evenings yet."))


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def edit(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Change what is to come of a run; everybody signed up is told."""
    row, now = run_of(request, pk), clock.now()
    to_come = selectors.evenings_to_come(row, now)
    if not to_come:
        messages.info(request, _("None of these evenings is still to come."))
        return redirect(row)
    stations = to_come[0].stations.in_order()
    form = RunEditForm(
        typed(request),
        initial=gathering_initial(to_come[0]),
        stations=[station_initial(one, copied=True) for one in stations],
        demonstration=row.demonstration,
        first_aiders=able_in_first_aid(request, to_come[0]),
    )
    if form.submit(run=row, now=now):
        number = form.saved
        words = ngettext("%d evening is changed.", "%d evenings are changed.", number)
        messages.success(request, words % number)
        return redirect(row)
    context = {"form": form, "rows": form.rows, "run": row, "to_come": len(to_come)}
    return render(request, "gatherings/run_edit.html", context)


def run_of(request: VolunteerRequest, pk: int) -> Run:
    """Return a run the reader organises, or answer 404."""
    rows = Run.objects.managed_by(request.user).select_related("demonstration")
    return row_or_404(rows, request, pk)
