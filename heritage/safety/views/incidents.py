"""Incidents: written down by anybody who works here, completed by organisers."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.doors import asks_and_takes, carried_out, done_or_said, typed
from heritage.people.request import VolunteerRequest
from heritage.safety import selectors, services
from heritage.safety.forms import DecisionForm, HoldForm, IncidentForm, ReportForm
from heritage.safety.models import Incident, IncidentQuerySet
from heritage.safety.selectors.incident_words import ORGANISER_FIELDS, REPORTER_FIELDS
from heritage.safety.views.evidence import keep_photograph
from heritage.safety.views.local import by_local_clock
from heritage.safety.views.rows import RowPage, take_row


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
@by_local_clock
def incidents(request: VolunteerRequest) -> HttpResponse:
    """List an organiser's incidents, or those that the reader wrote down."""
    lines = selectors.incident_lines(
        seen_by(request), whole=request.standing.is_organiser
    )
    return render(request, "safety/incident_list.html", {"lines": lines})


@opens_to(Role.VOLUNTEER)
@never_cache
@asks_and_takes
@by_local_clock
def report_incident(request: VolunteerRequest) -> HttpResponse:
    """Take three things and a press; the rest can wait."""
    here, now = request.standing.demonstration, clock.now()
    form = ReportForm(
        typed(request), request.FILES or None, initial={"happened_at": now}
    )
    made: list[Incident] = []

    def write() -> None:
        made.append(
            services.report_incident(
                demonstration=here,
                said=form.said(),
                key=form.cleaned_data["key"],
                by=request.user,
                now=now,
            )
        )

    if not carried_out(request, form, write):
        return render(request, "safety/incident_report.html", {"form": form})
    messages.success(request, _("It is written down. An organiser looks at it."))
    _try_photograph(request, made[0], form.cleaned_data["photograph"])
    return redirect("safety:incident", here.slug, made[0].pk)


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
@by_local_clock
def incident(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show an incident: whole to an organiser, their own words to who reported it."""
    row, whole = _seen(request, pk), request.standing.is_organiser
    page = selectors.incident_page(row, request.user, whole=whole)
    return render(request, "safety/incident.html", {"page": page})


@opens_to(Role.VOLUNTEER)
@never_cache
@asks_and_takes
@by_local_clock
def edit_incident(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Complete or correct an incident."""
    row, whole = _seen(request, pk), request.standing.is_organiser
    closed = set() if whole else selectors.closed_to_reporter(row)
    fields = ORGANISER_FIELDS if whole else REPORTER_FIELDS
    form = IncidentForm(
        typed(request),
        instance=row,
        open_fields=[name for name in fields if name not in closed],
    )

    def keep() -> object:
        return services.change_incident(
            incident=row,
            said=form.said(),
            by=request.user,
            now=clock.now(),
            as_organiser=whole,
        )

    page = RowPage(
        title=_("Complete what happened"),
        lead=_("Leave empty what nobody knows yet. What stood there before is kept."),
        submit=_("Keep it"),
        kept=_("Kept."),
        back=_to(request, pk),
    )
    return take_row(request, form, page, keep)


@opens_to(Role.ORGANISER)
@require_POST
def finish_incident(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Call an incident complete."""
    row = _managed(request, pk)
    done_or_said(
        request,
        lambda: services.finish_incident(
            incident=row, by=request.user, now=clock.now()
        ),
        _("It is complete."),
    )
    return redirect(_to(request, pk))


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
@by_local_clock
def decide_reporting(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Write down whether it was reported."""
    row = _managed(request, pk)
    form = DecisionForm(typed(request), instance=row)

    def keep() -> object:
        return services.decide_reporting(
            incident=row, said=form.said(), by=request.user, now=clock.now()
        )

    page = RowPage(
        title=_("Was it reported?"),
        lead=_("Decide with the official pages, and keep a record either way."),
        submit=_("Keep the decision"),
        kept=_("The decision is kept."),
        back=_to(request, pk),
    )
    return take_row(request, form, page, keep)


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def hold_incident(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Keep an incident beyond its day, for a claim."""
    row = _managed(request, pk)
    form = HoldForm(typed(request), instance=row)

    def keep() -> object:
        return services.hold_incident(
            incident=row,
            held_for=form.cleaned_data["held_for"],
            by=request.user,
            now=clock.now(),
        )

    page = RowPage(
        title=_("Keep it longer"),
        lead=_("While a claim is open nothing of it may be deleted."),
        submit=_("Keep it so"),
        kept=_("Kept."),
        back=_to(request, pk),
    )
    return take_row(request, form, page, keep)


def seen_by(request: VolunteerRequest) -> IncidentQuerySet:
    """Return the incidents that the reader may see here."""
    rows = Incident.objects.visible_to(request.user)
    return rows.of(request.standing.demonstration)


def _seen(request: VolunteerRequest, pk: int) -> Incident:
    rows = seen_by(request).for_page()
    return get_object_or_404(rows, pk=pk)


def _managed(request: VolunteerRequest, pk: int) -> Incident:
    rows = Incident.objects.managed_by(request.user).for_page()
    return get_object_or_404(rows.of(request.standing.demonstration), pk=pk)


def _to(request: VolunteerRequest, pk: int) -> str:
    return reverse("safety:incident", args=[request.standing.demonstration.slug, pk])


def _try_photograph(request: VolunteerRequest, row: Incident, upload: object) -> None:
    """Add the photograph; one that cannot be kept costs none of the words."""
    if not upload:
        return
    words = _("Photograph sent with the report")
    try:
        keep_photograph(request, row, upload, words)
    except ValidationError as error:
        said = _("The words are kept, but not the photograph: %s Add it below.")
        messages.error(request, said % " ".join(error.messages))
