"""The hazards of the ground, and the cautions that hold for everybody."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST, require_safe

from heritage.common.access import Role, opens_to
from heritage.common.doors import asks_and_takes, carried_out, typed
from heritage.people.request import Request
from heritage.safety import selectors, services
from heritage.safety.forms import HazardForm, SureForm
from heritage.safety.models import Hazard


@opens_to(Role.VISITOR)
@require_safe
def cautions(request: Request) -> HttpResponse:
    """Tell anybody what can hurt them here, and who may do what."""
    place = request.standing.demonstration.jurisdiction
    context = {
        "cautions": selectors.general_cautions(),
        "rules": selectors.young_people_rules(place),
    }
    return render(request, "safety/cautions.html", context)


@opens_to(Role.VOLUNTEER)
@require_safe
def hazards(request: Request) -> HttpResponse:
    """List the hazards with what is done about them."""
    context = {
        "page": selectors.hazard_page(request.standing.demonstration),
        "bands": selectors.band_table(),
    }
    return render(request, "safety/hazard_list.html", context)


@opens_to(Role.ORGANISER)
@asks_and_takes
def add_hazard(request: Request) -> HttpResponse:
    """Write down a hazard."""
    demonstration = request.standing.demonstration
    form = HazardForm(typed(request))

    def write() -> object:
        return services.add_hazard(
            demonstration=demonstration, assessment=form.assessment()
        )

    if carried_out(request, form, write):
        messages.success(request, _("The hazard is written down."))
        return redirect("safety:hazards", demonstration.slug)
    return render(request, "safety/hazard_form.html", {"form": form})


@opens_to(Role.ORGANISER)
@asks_and_takes
def edit_hazard(request: Request, pk: int) -> HttpResponse:
    """Correct a hazard and its controls."""
    hazard = _hazard(request, pk)
    form = HazardForm(typed(request), instance=_hazard(request, pk))

    def write() -> object:
        return services.edit_hazard(hazard=hazard, assessment=form.assessment())

    if carried_out(request, form, write):
        messages.success(
            request,
            _("Put right. Publish the briefings that name it again, if it changed."),
        )
        return redirect("safety:hazards", request.standing.demonstration.slug)
    context = {"form": form, "hazard": form.instance}
    return render(request, "safety/hazard_form.html", context)


@opens_to(Role.ORGANISER)
@asks_and_takes
def delete_hazard(request: Request, pk: int) -> HttpResponse:
    """Ask once more, then take away a hazard that no briefing names."""
    hazard = _hazard(request, pk)
    form = SureForm(typed(request))
    if carried_out(request, form, lambda: services.delete_hazard(hazard=hazard)):
        messages.success(request, _("The hazard is taken away."))
        return redirect("safety:hazards", request.standing.demonstration.slug)
    context = {"form": form, "hazard": hazard}
    return render(request, "safety/hazard_delete.html", context)


@opens_to(Role.ORGANISER)
@require_POST
def load_library(request: Request) -> HttpResponse:
    """Add the starting library's hazards that are not on the list."""
    demonstration = request.standing.demonstration
    added = len(services.load_starting_library(demonstration=demonstration))
    words = ngettext(
        "%d hazard is added. Make it fit your ground.",
        "%d hazards are added. Make them fit your ground, and name the people.",
        added,
    )
    messages.success(request, words % added)
    return redirect("safety:hazards", demonstration.slug)


def _hazard(request: Request, pk: int) -> Hazard:
    rows = Hazard.objects.managed_by(request.user).of(request.standing.demonstration)
    return get_object_or_404(rows.with_controls(), pk=pk)
