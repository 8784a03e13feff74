"""The hazards of the ground, and the cautions that hold for everybody."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST, require_safe

from heritage.briefings import services as briefings_services
from heritage.briefings.hazards import selectors, sheets
from heritage.briefings.hazards.forms import HazardFilter, HazardForm, LookAgainForm
from heritage.briefings.models import Hazard
from heritage.common import clock
from heritage.common.access import Role, opens_to, row_or_404, row_or_new
from heritage.common.forms import RecordPage, asks_and_takes, take_record, typed
from heritage.common.sheets import pdf_response
from heritage.people.request import Request, VolunteerRequest

HAZARDS_SHOWN = 18
CHANGES_SHOWN = 40


@opens_to(Role.VISITOR)
@require_safe
def cautions(request: Request) -> HttpResponse:
    """Tell anybody what can hurt them here, and who may do what."""
    place = request.standing.demonstration.jurisdiction
    context = {
        "cautions": selectors.general_cautions(),
        "rules": selectors.young_people_rules(place),
    }
    return render(request, "briefings/cautions.html", context)


@opens_to(Role.VOLUNTEER)
@require_safe
def hazards(request: Request) -> HttpResponse:
    """List the hazards with what is done about them, or those met at one place."""
    demonstration = request.standing.demonstration
    asked = HazardFilter(request.GET)
    asked.is_valid()
    page = selectors.hazard_page(
        demonstration, clock.today(demonstration.time_zone), **asked.chosen()
    )
    lines = Paginator(page.lines, HAZARDS_SHOWN, orphans=1).get_page(
        request.GET.get("page")
    )
    context = {"page": page, "bands": selectors.band_table(), "filter": asked}
    context |= {"lines": lines}
    context |= {"opinion": selectors.AN_OPINION, "source": selectors.BAND_SOURCE}
    return render(request, "briefings/hazard_list.html", context)


@opens_to(Role.VOLUNTEER)
@require_safe
def hazard(request: Request, pk: int) -> HttpResponse:
    """Show one hazard with all that was changed in it."""
    rows = Hazard.objects.visible_to(request.user).for_page()
    row = row_or_404(rows, request, pk)
    page = selectors.one_hazard(row, clock.today(row.demonstration.time_zone))
    context = {"page": page, "form": LookAgainForm()}
    return render(request, "briefings/hazard.html", context)


@opens_to(Role.VOLUNTEER)
@require_safe
def risk_sheet(request: Request) -> HttpResponse:
    """Print the assessment of every hazard."""
    demonstration = request.standing.demonstration
    today = clock.today(demonstration.time_zone)
    pdf = sheets.risk_sheet(
        selectors.risk_sheet(demonstration, today),
        printed_on=today,
        large_print="large" in request.GET,
    )
    return pdf_response(pdf, "risk-assessment")


@opens_to(Role.ORGANISER)
@require_safe
def hazard_changes(request: Request) -> HttpResponse:
    """Show every change to the assessments, of those taken off too."""
    past = selectors.changes(request.standing.demonstration)
    page = Paginator(past, CHANGES_SHOWN).get_page(request.GET.get("page"))
    return render(request, "briefings/hazard_changes.html", {"page_obj": page})


@opens_to(Role.ORGANISER)
@asks_and_takes
def take_hazard(request: VolunteerRequest, pk: int | None = None) -> HttpResponse:
    """Write down a hazard, correct it, or take away one that no briefing names."""
    rows = Hazard.objects.managed_by(request.user).for_page()
    row = row_or_new(rows, request, pk)
    form = HazardForm(typed(request), instance=row)
    page = _words_of(request, row)
    return take_record(request, form, page, by=request.user, now=clock.now())


@opens_to(Role.ORGANISER)
@require_POST
def look_again(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Write down that a hazard was looked at again and stays as it is."""
    row, form = _managed(request, pk), LookAgainForm(request.POST)
    if form.submit(hazard=row, by=request.user, now=clock.now()):
        messages.success(request, _("Check saved: nothing to change."))
        return redirect("briefings:hazard", row.demonstration.slug, pk)
    page = selectors.one_hazard(row, clock.today(row.demonstration.time_zone))
    return render(request, "briefings/hazard.html", {"page": page, "form": form})


@opens_to(Role.ORGANISER)
@require_POST
def load_library(request: VolunteerRequest) -> HttpResponse:
    """Add the starting library's hazards that are not on the list."""
    demonstration = request.standing.demonstration
    rows = briefings_services.load_starting_library(
        demonstration=demonstration, user=request.user, now=clock.now()
    )
    added = len(rows)
    words = ngettext(
        "%d hazard added. Make it fit your ground.",
        "%d hazards added. Make them fit your ground, and name the people.",
        added,
    )
    messages.success(request, words % added)
    return redirect("briefings:hazards", demonstration.slug)


def _managed(request: Request, pk: int) -> Hazard:
    rows = Hazard.objects.managed_by(request.user).for_page()
    return row_or_404(rows, request, pk)


def _words_of(request: VolunteerRequest, row: Hazard) -> RecordPage:
    slug, added = request.standing.demonstration.slug, row.pk is None
    return RecordPage(
        title=row.title or _("Add a hazard"),
        lead=_("Grade how bad and how likely it is, without controls and with them."),
        submit=_("Save"),
        kept=_kept(added=added),
        back=reverse("briefings:hazards", args=[slug]),
        kept_at="" if added else reverse("briefings:hazard", args=[slug, row.pk]),
        remove=_("Delete the hazard"),
        remove_lead=_("Its controls go too. Published briefings keep their words."),
        removed=_("Hazard deleted. Its history stays."),
        beside="briefings/_which_controls.html",
    )


def _kept(*, added: bool) -> str:
    if added:
        return _("Hazard added.")
    return _("Saved. If it changed, publish its briefings again.")
