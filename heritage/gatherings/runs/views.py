"""Runs of evenings: the list, one with its evenings, its end."""

from datetime import date
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.doors import asks_and_takes
from heritage.gatherings.forms import (
    BaseStationFormSet,
    gathering_initial,
    station_initial,
    station_rows,
    typed_rows,
)
from heritage.gatherings.ground.views import put_back, run_of
from heritage.gatherings.models import Gathering, Run, StationKind
from heritage.gatherings.runs import selectors, services
from heritage.gatherings.runs.forms import EndRunForm, RunEditForm, RunForm
from heritage.gatherings.runs.selectors import Evening
from heritage.gatherings.views import able_in_first_aid, beginning
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


MONDAY_TO_FRIDAY = [0, 1, 2, 3, 4]


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def post(request: VolunteerRequest) -> HttpResponse:
    """Ask for a run, show every evening of it, then post those left ticked."""
    where, now = request.standing.demonstration, clock.now()
    initial, stations = beginning(request)
    first = initial | {"weekdays": MONDAY_TO_FRIDAY, "by_light": True}
    data = request.POST if request.method == "POST" else None
    if data is not None and "add" in data:
        first = {name: data.get(name, "") for name in RunForm.base_fields}
        first["weekdays"] = data.getlist("weekdays")
        stations, data = [*typed_rows(data), {}], None
    form = RunForm(
        data,
        initial=first,
        demonstration=where,
        first_aiders=able_in_first_aid(request, None),
    )
    rows = station_rows(data, demonstration=where, gathering=None, initial=stations)
    found: list[Evening] = []
    if all([form.is_valid(), rows.is_valid()]):
        works = [StationKind(plan.kind) for plan in rows.plans()]
        found = selectors.evenings(where, form.plan(), now, works)
        if _agreed(request, found):
            made = _post(request, form, rows, found)
            if made:
                return redirect(made)
    rows.mark_needed()
    context = {"form": form, "rows": rows, "evenings": _ticked(request, found)}
    return render(request, "gatherings/run_post.html", context)


def _agreed(request: VolunteerRequest, found: list[Evening]) -> bool:
    """Tell whether these very evenings were shown, and are now to be posted."""
    if "preview" in request.POST:
        return False
    same = request.POST.getlist("seen") == [one.key for one in found]
    if not same:
        words = _("Look the evenings over, untick any, and post them below.")
        messages.info(request, words)
    return same


def _ticked(
    request: VolunteerRequest, found: list[Evening]
) -> list[tuple[Evening, bool]]:
    """Return each evening with whether it is ticked: as it was, if it was shown."""
    seen = request.POST.getlist("seen")
    ticked = set(request.POST.getlist("evening"))
    return [
        (one, one.key in ticked if one.key in seen else one.is_offered) for one in found
    ]


def _post(
    request: VolunteerRequest,
    form: RunForm,
    rows: BaseStationFormSet,
    found: list[Evening],
) -> Run | None:
    ticked = set(request.POST.getlist("evening"))
    as_draft = "draft" in request.POST
    try:
        made = services.post_run(
            demonstration=request.standing.demonstration,
            plan=form.plan(),
            details=form.details(),
            stations=rows.plans(),
            days=[one.day for one in found if one.key in ticked],
            knowing=_known(request),
            by=request.user,
            now=clock.now(),
            as_draft=as_draft,
        )
    except ValidationError as error:
        put_back(form, error)
        return None
    words = (
        _("The evenings are kept as drafts.") if as_draft else _("The run is posted.")
    )
    messages.success(request, words)
    if form.cleaned_data["first_aider"] is None:
        messages.warning(request, _("No first-aider is chosen for these evenings yet."))
    return made


def _known(request: VolunteerRequest) -> set[date]:
    """Return the days that were shown as clashing, and ticked all the same."""
    known = set()
    for typed in request.POST.getlist("clashing"):
        try:
            known.add(date.fromisoformat(typed))
        except ValueError:
            continue
    return known


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def edit(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Change what is to come of a run; whoever is signed up is told."""
    row = run_of(request, pk)
    to_come = selectors.evenings_to_come(row, clock.now())
    if not to_come:
        messages.info(request, _("Nothing of this run is still to come."))
        return redirect(row)
    form, rows = _edit_forms(request, to_come[0])
    if all([form.is_valid(), rows.is_valid()]) and _changed(request, row, form, rows):
        return redirect(row)
    rows.mark_needed()
    context = {"form": form, "rows": rows, "run": row, "to_come": len(to_come)}
    return render(request, "gatherings/run_edit.html", context)


def _edit_forms(
    request: VolunteerRequest, shown: Gathering
) -> tuple[RunEditForm, BaseStationFormSet]:
    """Return the forms as the next evening has it, or as typed."""
    where = request.standing.demonstration
    initial: dict[str, Any] = gathering_initial(shown)
    stations = [station_initial(one, copied=True) for one in shown.stations.in_order()]
    data = request.POST if request.method == "POST" else None
    if data is not None and "add" in data:
        initial = {name: data.get(name, "") for name in RunEditForm.base_fields}
        stations, data = [*typed_rows(data), {}], None
    form = RunEditForm(
        data,
        initial=initial,
        demonstration=where,
        first_aiders=able_in_first_aid(request, shown),
    )
    return form, station_rows(
        data, demonstration=where, gathering=None, initial=stations
    )


def _changed(
    request: VolunteerRequest, row: Run, form: RunEditForm, rows: BaseStationFormSet
) -> bool:
    try:
        number = services.edit_run(
            run=row,
            changes=form.changes(),
            stations=rows.plans() if rows.has_changed() else None,
            by_light=form.cleaned_data["by_light"],
            same_place=form.cleaned_data["same_place"],
            now=clock.now(),
        )
    except ValidationError as error:
        put_back(form, error)
        return False
    words = ngettext("%d evening is changed.", "%d evenings are changed.", number)
    messages.success(request, words % number)
    return True
