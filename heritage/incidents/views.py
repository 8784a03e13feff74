"""Incidents: written down by anybody who works here, completed by organisers."""

from datetime import date

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import FileResponse, Http404, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to, row_or_404
from heritage.common.forms import (
    RecordPage,
    asks_and_takes,
    by_local_clock,
    refusals_shown,
    sent,
    take_record,
    typed,
)
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
from heritage.incidents.models import Evidence, Incident, Witness
from heritage.people.request import VolunteerRequest

SHOWN = 8


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
@by_local_clock
def incidents(request: VolunteerRequest) -> HttpResponse:
    """List an organiser's incidents, or those that the reader wrote down."""
    rows = Incident.objects.visible_to(request.user).of(request.standing.demonstration)
    lines = selectors.incident_lines(rows, whole=request.standing.is_organiser)
    page = Paginator(lines, SHOWN).get_page(request.GET.get("page"))
    return render(request, "incidents/incident_list.html", {"lines": page})


@opens_to(Role.VOLUNTEER)
@never_cache
@asks_and_takes
@by_local_clock
def report_incident(request: VolunteerRequest) -> HttpResponse:
    """Take a first report; the rest can wait."""
    here, now = request.standing.demonstration, clock.now()
    form = ReportForm(
        *sent(request),
        instance=Incident(demonstration=here),
        initial={"happened_at": now},
    )
    if not form.submit(by=request.user, now=now):
        return render(request, "incidents/incident_report.html", {"form": form})
    messages.success(request, _("Report sent. An organiser will look at it."))
    why_not = form.keep_photograph(by=request.user, now=now)
    if why_not:
        words = _("Report sent, but without the photo: %s Add it below.")
        messages.error(request, words % why_not)
    return redirect("incidents:incident", here.slug, form.saved.pk)


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
    form = IncidentForm(typed(request), instance=row, as_organiser=whole)
    page = RecordPage(
        title=_("Fill in the report"),
        lead=_("Leave out what nobody knows yet. Earlier answers are kept."),
        submit=_("Save"),
        kept=_("Saved."),
        back=_to(request, pk),
    )
    return take_record(request, form, page, by=request.user, now=clock.now())


@opens_to(Role.ORGANISER)
@require_POST
def finish_incident(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Call an incident complete."""
    row = _managed(request, pk)
    with refusals_shown(request):
        services.finish_incident(incident=row, by=request.user, now=clock.now())
        messages.success(request, _("Report finished."))
    return redirect(_to(request, pk))


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
@by_local_clock
def decide_reporting(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Write down whether it was reported."""
    form = DecisionForm(typed(request), instance=_managed(request, pk))
    page = RecordPage(
        title=_("Was it reported?"),
        lead=_("Check the official pages, and keep a record either way."),
        submit=_("Save the decision"),
        kept=_("Decision saved."),
        back=_to(request, pk),
    )
    return take_record(request, form, page, by=request.user, now=clock.now())


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def hold_incident(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Keep an incident beyond its day, for a claim."""
    form = HoldForm(typed(request), instance=_managed(request, pk))
    page = RecordPage(
        title=_("Keep it longer"),
        lead=_("While a claim is open, we don't delete it."),
        submit=_("Save"),
        kept=_("Saved."),
        back=_to(request, pk),
    )
    return take_record(request, form, page, by=request.user, now=clock.now())


@opens_to(Role.VOLUNTEER)
@never_cache
@asks_and_takes
def add_witness(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Write down somebody who saw it."""
    row = _open(request, pk)
    return _take_witness(request, Witness(incident=row, added_by=request.user))


@opens_to(Role.VOLUNTEER)
@never_cache
@asks_and_takes
def edit_witness(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Correct what a witness says, or take them off."""
    rows = Witness.objects.visible_to(request.user).select_related("incident")
    witness = row_or_404(rows, request, pk)
    _open(request, witness.incident_id)
    return _take_witness(request, witness)


@opens_to(Role.VOLUNTEER)
@never_cache
@asks_and_takes
def add_photograph(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Keep one more photograph with an incident."""
    form = EvidenceForm(*sent(request), instance=Evidence(incident=_open(request, pk)))
    page = RecordPage(
        title=_("Add a photo"),
        lead=_("Only you and the organisers see it. We never publish it."),
        submit=_("Add the photo"),
        kept=_("Photo saved."),
        back=_to(request, pk),
    )
    return take_record(request, form, page, by=request.user, now=clock.now())


@opens_to(Role.VOLUNTEER)
@require_safe
def photograph(request: VolunteerRequest, pk: int) -> HttpResponseBase:
    """Send a photograph to somebody who may see it, to be kept by no cache."""
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
    services.take_away_photograph(piece=piece, by=request.user, now=clock.now())
    messages.success(request, _("Photo deleted."))
    return redirect(_to(request, piece.incident_id))


@opens_to(Role.ORGANISER)
@never_cache
@require_safe
def incident_sheet(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Print one incident whole."""
    row = _managed(request, pk)
    pdf = sheets.incident_sheet(
        selectors.incident_page(row, request.user, whole=True),
        photographs=services.photographs_of(row),
        printed_on=clock.today(row.demonstration.time_zone),
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


def _seen(request: VolunteerRequest, pk: int) -> Incident:
    rows = Incident.objects.visible_to(request.user).for_page()
    return row_or_404(rows, request, pk)


def _open(request: VolunteerRequest, pk: int) -> Incident:
    """Find an incident that the reader may still add to."""
    rows = Incident.objects.visible_to(request.user).for_page()
    if not request.standing.is_organiser:
        rows = rows.unfinished()
    return row_or_404(rows, request, pk)


def _managed(request: VolunteerRequest, pk: int) -> Incident:
    rows = Incident.objects.managed_by(request.user).for_page()
    return row_or_404(rows, request, pk)


def _piece(request: VolunteerRequest, pk: int) -> Evidence:
    rows = Evidence.objects.visible_to(request.user).select_related("incident")
    return row_or_404(rows, request, pk)


def _take_witness(request: VolunteerRequest, witness: Witness) -> HttpResponse:
    form = WitnessForm(typed(request), instance=witness)
    page = RecordPage(
        title=_("Witness"),
        lead=_(
            "Their words, and how to reach them. Only you and the organisers read it."
        ),
        submit=_("Save"),
        kept=_("Saved."),
        back=_to(request, witness.incident_id),
        remove=_("Remove this witness"),
        removed=_("Witness removed. The history keeps what was written."),
    )
    return take_record(request, form, page, by=request.user, now=clock.now())


def _to(request: VolunteerRequest, pk: int) -> str:
    return reverse("incidents:incident", args=[request.standing.demonstration.slug, pk])
