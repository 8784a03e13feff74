"""The hazards of the ground, and the cautions that hold for everybody."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST, require_safe

from heritage.briefings import services as briefings_services
from heritage.briefings.forms import SureForm
from heritage.briefings.hazards import selectors, services, sheets
from heritage.briefings.hazards.forms import HazardFilter, HazardForm, LookAgainForm
from heritage.briefings.models import Hazard
from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.doors import asks_and_takes, carried_out, typed
from heritage.common.sheets import pdf_response
from heritage.people.request import Request, VolunteerRequest

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
    context = {"page": page, "bands": selectors.band_table(), "filter": asked}
    context |= {"opinion": selectors.AN_OPINION, "source": selectors.BAND_SOURCE}
    return render(request, "briefings/hazard_list.html", context)


@opens_to(Role.VOLUNTEER)
@require_safe
def hazard(request: Request, pk: int) -> HttpResponse:
    """Show one hazard with all that was changed in it."""
    demonstration = request.standing.demonstration
    rows = Hazard.objects.visible_to(request.user).of(demonstration)
    row = get_object_or_404(rows.for_page(), pk=pk)
    context = {
        "page": selectors.one_hazard(row, clock.today(demonstration.time_zone)),
        "form": LookAgainForm(),
    }
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
def add_hazard(request: VolunteerRequest) -> HttpResponse:
    """Write down a hazard."""
    demonstration = request.standing.demonstration
    form = HazardForm(typed(request))

    def write() -> object:
        return services.add_hazard(
            demonstration=demonstration,
            assessment=form.assessment(),
            by=request.user,
            now=clock.now(),
        )

    if carried_out(request, form, write):
        messages.success(request, _("The hazard is written down."))
        return redirect("briefings:hazards", demonstration.slug)
    return render(request, "briefings/hazard_form.html", {"form": form})


@opens_to(Role.ORGANISER)
@asks_and_takes
def edit_hazard(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Correct a hazard and its controls."""
    hazard = _hazard(request, pk)
    form = HazardForm(typed(request), instance=_hazard(request, pk))

    def write() -> object:
        return services.edit_hazard(
            hazard=hazard,
            assessment=form.assessment(),
            by=request.user,
            now=clock.now(),
        )

    if carried_out(request, form, write):
        messages.success(
            request,
            _("Put right. Publish the briefings that name it again, if it changed."),
        )
        return redirect("briefings:hazard", request.standing.demonstration.slug, pk)
    context = {"form": form, "hazard": form.instance}
    return render(request, "briefings/hazard_form.html", context)


@opens_to(Role.ORGANISER)
@require_POST
def look_again(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Write down that a hazard was looked at again and stays as it is."""
    row, form = _hazard(request, pk), LookAgainForm(request.POST)

    def write() -> object:
        return services.look_again(
            hazard=row, by=request.user, now=clock.now(), **form.cleaned_data
        )

    demonstration = request.standing.demonstration
    if carried_out(request, form, write):
        messages.success(request, _("Noted: looked at again, nothing to change."))
        return redirect("briefings:hazard", demonstration.slug, pk)
    page = selectors.one_hazard(row, clock.today(demonstration.time_zone))
    return render(request, "briefings/hazard.html", {"page": page, "form": form})


@opens_to(Role.ORGANISER)
@asks_and_takes
def delete_hazard(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Ask once more, then take away a hazard that no briefing names."""
    hazard = _hazard(request, pk)
    form = SureForm(typed(request))

    def write() -> None:
        services.delete_hazard(hazard=hazard, by=request.user, now=clock.now())

    if carried_out(request, form, write):
        messages.success(request, _("The hazard is taken away. Its history stays."))
        return redirect("briefings:hazards", request.standing.demonstration.slug)
    context = {"form": form, "hazard": hazard}
    return render(request, "briefings/hazard_delete.html", context)


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
        "%d hazard is added. Make it fit your ground.",
        "%d hazards are added. Make them fit your ground, and name the people.",
        added,
    )
    messages.success(request, words % added)
    return redirect("briefings:hazards", demonstration.slug)


def _hazard(request: Request, pk: int) -> Hazard:
    rows = Hazard.objects.managed_by(request.user).of(request.standing.demonstration)
    return get_object_or_404(rows.for_page(), pk=pk)
