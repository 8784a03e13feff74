"""Incidents: written down by anybody who works here, completed by organisers."""

from datetime import date
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import FileResponse, Http404, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.doors import asks_and_takes, carried_out, done_or_said, typed
from heritage.common.photographs import read_photograph
from heritage.common.records import RowPage, by_local_clock, take_row
from heritage.common.sheets import pdf_response
from heritage.incidents import selectors, services, sheets
from heritage.incidents.forms import (
    DecisionForm,
    EvidenceForm,
    HoldForm,
    IncidentForm,
    PeriodForm,
    ReportForm,
    WitnessForm,
)
from heritage.incidents.models import Evidence, Incident, IncidentQuerySet, Witness
from heritage.incidents.selectors import ORGANISER_FIELDS, REPORTER_FIELDS
from heritage.people.request import VolunteerRequest


@opens_to(Role.VOLUNTEER)
@never_cache
@asks_and_takes
def add_witness(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Write down somebody who saw it."""
    row = _open(request, pk)
    form = WitnessForm(typed(request))

    def keep() -> object:
        return services.keep_witness(
            incident=row, said=form.said(), by=request.user, now=clock.now()
        )

    return take_row(request, form, _witness_page(request, pk), keep)


@opens_to(Role.VOLUNTEER)
@never_cache
@asks_and_takes
def edit_witness(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Put right what a witness says, or take them off."""
    rows = Witness.objects.visible_to(request.user).of(request.standing.demonstration)
    witness = get_object_or_404(rows.select_related("incident"), pk=pk)
    row = _open(request, witness.incident_id)
    form = WitnessForm(typed(request), instance=witness)

    def keep() -> object:
        return services.keep_witness(
            incident=row,
            said=form.said(),
            by=request.user,
            now=clock.now(),
            witness=witness,
        )

    def away() -> object:
        return services.take_away_witness(
            witness=witness, by=request.user, now=clock.now()
        )

    return take_row(request, form, _witness_page(request, row.pk), keep, away)


@opens_to(Role.VOLUNTEER)
@never_cache
@asks_and_takes
def add_photograph(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Keep one more photograph with an incident."""
    row = _open(request, pk)
    form = EvidenceForm(typed(request), request.FILES or None)

    def keep() -> object:
        data = form.cleaned_data
        return keep_photograph(request, row, data["photograph"], data["words"])

    page = RowPage(
        title=_("Add a photograph"),
        lead=_("Seen by the organisers and by you. It is never published."),
        submit=_("Add it"),
        kept=_("The photograph is kept."),
        back=_to(request, pk),
    )
    return take_row(request, form, page, keep)


@opens_to(Role.VOLUNTEER)
@require_safe
def photograph(request: VolunteerRequest, pk: int) -> HttpResponseBase:
    """Send a photograph to whoever may see it, to be kept by no cache."""
    piece = _piece(request, pk)
    try:
        piece.file.open("rb")
    except FileNotFoundError as error:
        raise Http404 from error
    response = FileResponse(piece.file, content_type="image/jpeg")
    response["Cache-Control"] = "private, no-store"
    response["X-Content-Type-Options"] = "nosniff"
    response["Content-Security-Policy"] = "default-src 'none'; sandbox"
    return response


@opens_to(Role.ORGANISER)
@require_POST
def take_away_photograph(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Delete a photograph."""
    piece = _piece(request, pk)
    there = _to(request, piece.incident_id)
    done_or_said(
        request,
        lambda: services.take_away_photograph(
            piece=piece, by=request.user, now=clock.now()
        ),
        _("The photograph is deleted."),
    )
    return redirect(there)


@opens_to(Role.ORGANISER)
@never_cache
@require_safe
def incident_sheet(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Print one incident whole."""
    here = request.standing.demonstration
    rows = Incident.objects.managed_by(request.user).of(here).for_page()
    row = get_object_or_404(rows, pk=pk)
    pdf = sheets.incident_sheet(
        selectors.incident_page(row, request.user, whole=True),
        photographs=services.photographs_of(row),
        printed_on=clock.today(here.time_zone),
        large_print="large" in request.GET,
    )
    return pdf_response(pdf, "incident")


@opens_to(Role.ORGANISER)
@never_cache
@require_safe
def register(request: VolunteerRequest) -> HttpResponse:
    """Print the register of a period, by default the demonstration's year."""
    here = request.standing.demonstration
    year = {"first": date(here.year, 1, 1), "last": date(here.year, 12, 31)}
    form = PeriodForm(request.GET if "first" in request.GET else year)
    if not form.is_valid():
        return render(request, "incidents/register_period.html", {"form": form})
    pdf = sheets.register_sheet(
        selectors.register(here, **form.cleaned_data),
        printed_on=clock.today(here.time_zone),
        large_print="large" in request.GET,
    )
    return pdf_response(pdf, "incident-register")


def keep_photograph(
    request: VolunteerRequest, row: Incident, upload: Any, words: str
) -> Evidence:
    """Read what was sent, draw it anew and keep it."""
    prepared = read_photograph(
        upload.read(),
        most_bytes=settings.PICTURE_MAX_BYTES,
        most_pixels=settings.PICTURE_MAX_PIXELS,
        field="photograph",
    )
    return services.add_photograph(
        incident=row, prepared=prepared, words=words, by=request.user, now=clock.now()
    )


def _open(request: VolunteerRequest, pk: int) -> Incident:
    """Find an incident that the reader may still add to."""
    here = request.standing.demonstration
    rows = Incident.objects.visible_to(request.user).of(here).for_page()
    if not request.standing.is_organiser:
        rows = rows.unfinished()
    return get_object_or_404(rows, pk=pk)


def _piece(request: VolunteerRequest, pk: int) -> Evidence:
    rows = Evidence.objects.visible_to(request.user).of(request.standing.demonstration)
    return get_object_or_404(rows.select_related("incident"), pk=pk)


def _witness_page(request: VolunteerRequest, pk: int) -> RowPage:
    return RowPage(
        title=_("Somebody who saw it"),
        lead=_("Their words, and how to reach them. The organisers read it, and you."),
        submit=_("Keep it"),
        kept=_("Kept."),
        back=_to(request, pk),
        away=_("Take this witness off"),
        gone=_("The witness is taken off; the history keeps what was written."),
    )


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
@by_local_clock
def incidents(request: VolunteerRequest) -> HttpResponse:
    """List an organiser's incidents, or those that the reader wrote down."""
    lines = selectors.incident_lines(
        seen_by(request), whole=request.standing.is_organiser
    )
    return render(request, "incidents/incident_list.html", {"lines": lines})


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
        return render(request, "incidents/incident_report.html", {"form": form})
    messages.success(request, _("It is written down. An organiser looks at it."))
    _try_photograph(request, made[0], form.cleaned_data["photograph"])
    return redirect("incidents:incident", here.slug, made[0].pk)


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
@by_local_clock
def incident(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show an incident: whole to an organiser, their own words to who reported it."""
    row, whole = _seen(request, pk), request.standing.is_organiser
    page = selectors.incident_page(row, request.user, whole=whole)
    return render(request, "incidents/incident.html", {"page": page})


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
    return reverse("incidents:incident", args=[request.standing.demonstration.slug, pk])


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
