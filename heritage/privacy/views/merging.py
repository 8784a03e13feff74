"""Two lines of one person: picked, looked at side by side, made one."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.doors import asks_and_takes, carried_out, typed
from heritage.people.models import Volunteer
from heritage.people.request import VolunteerRequest
from heritage.privacy import selectors, services
from heritage.privacy.forms import MergeForm, PickForm
from heritage.privacy.views.doors import managed_person


@opens_to(Role.ORGANISER)
@never_cache
@require_safe
def merges(request: VolunteerRequest) -> HttpResponse:
    """List everybody to pick from, and what was merged before."""
    page = selectors.merges_page(request.standing.demonstration)
    return render(request, "privacy/merges.html", {"page": page})


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def merge(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Pick the line to keep, see what would happen, and make the two one."""
    demonstration, gone = request.standing.demonstration, managed_person(request, pk)
    people = selectors.pickable(demonstration).exclude(pk=pk)
    form = MergeForm(typed(request), people=people, initial=request.GET.dict())

    def write() -> object:
        return services.merge(
            gone=gone,
            kept=form.cleaned_data["into"],
            by=request.user,
            now=clock.now(),
        )

    if carried_out(request, form, write):
        messages.success(request, _("The two lines are one now."))
        return redirect("privacy:merges", demonstration.slug)
    picked = PickForm({"into": form["into"].value()}, people=people)
    kept: Volunteer | None = picked.cleaned_data["into"] if picked.is_valid() else None
    context = {
        "gone": gone,
        "pick": PickForm(people=people),
        "page": selectors.merging(gone, kept) if kept else None,
        "form": form,
    }
    return render(request, "privacy/merge.html", context)
