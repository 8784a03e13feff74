"""Asking to be erased, and the organiser's pages that carry it out."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to, row_or_404
from heritage.common.forms import asks_and_takes, refusals_shown, typed
from heritage.people.models import Volunteer
from heritage.people.request import VolunteerRequest
from heritage.privacy.erasing import selectors, services
from heritage.privacy.forms import EraseForm
from heritage.privacy.models import Erasure
from heritage.privacy.searching.selectors import named
from heritage.privacy.views import managed_person, own_record


@opens_to(Role.VOLUNTEER)
@never_cache
@asks_and_takes
def erase(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show what would go and what would stay; ask for it, or take that back."""
    person, now = _person(request, pk), clock.now()
    page = selectors.erasing(person, now)
    if request.method != "POST":
        return render(request, "privacy/erase.html", {"page": page})
    with refusals_shown(request):
        if page.asked:
            services.take_back_erasure(erasure=page.asked, by=request.user, now=now)
            messages.success(request, _("Taken back. We delete nothing."))
        else:
            services.ask_erasure(volunteer=person, by=request.user, now=now)
            words = _("Thank you. An organiser does it within a month.")
            messages.success(request, words)
    return redirect("privacy:erase", request.standing.demonstration.slug, pk)


@opens_to(Role.ORGANISER)
@never_cache
@require_safe
def erasures(request: VolunteerRequest) -> HttpResponse:
    """List who asked to be erased, and what was carried out."""
    page = selectors.erasures_page(request.standing.demonstration)
    return render(request, "privacy/erasures.html", {"page": page})


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def erasure(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show one asking, and carry it out once it is confirmed."""
    rows = Erasure.objects.managed_by(request.user).for_page()
    asked = row_or_404(rows, request, pk)
    names = named(asked.volunteer)
    form = EraseForm(typed(request), asks_why=names.asks_why)
    if form.submit(erasure=asked, by=request.user, now=clock.now()):
        messages.success(request, _("Deleted for good."))
        return redirect("privacy:erasures", request.standing.demonstration.slug)
    asked = row_or_404(rows, request, pk)
    page = selectors.erasing(asked.volunteer, clock.now())
    context = {"asked": asked, "page": page, "form": form, "named": names}
    return render(request, "privacy/erasure.html", context)


def _person(request: VolunteerRequest, pk: int) -> Volunteer:
    """Return one's own line or child; for an organiser anybody who asked them to."""
    if request.standing.is_organiser:
        return managed_person(request, pk)
    return own_record(request, pk)
