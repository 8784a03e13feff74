"""Two lines of one person: picked, looked at side by side, made one."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.forms import asks_and_takes, typed
from heritage.fieldlog.models import Receipt
from heritage.gatherings.models import Gathering
from heritage.people.models import Volunteer
from heritage.people.request import VolunteerRequest
from heritage.privacy.forms import MergeForm, PickForm, SameForm
from heritage.privacy.merging import selectors
from heritage.privacy.views import managed_person

SHOWN = 25


@opens_to(Role.ORGANISER)
@never_cache
@require_safe
def merges(request: VolunteerRequest) -> HttpResponse:
    """List everybody to pick from, and what was merged before."""
    wanted = request.GET.get("wanted", "")
    page = selectors.merges_page(request.standing.demonstration, wanted)
    people = Paginator(page.people, SHOWN).get_page(request.GET.get("page"))
    context = {"page": page, "people": people, "wanted": wanted}
    return render(request, "privacy/merges.html", context)


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def merge(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Pick the line to keep, see what would happen, and make the two one."""
    here, gone = request.standing.demonstration, managed_person(request, pk)
    people = selectors.pickable(here).exclude(pk=pk)
    pick = PickForm(request.GET or None, people=people)
    form = MergeForm(typed(request), people=people)
    if form.submit(gone=gone, by=request.user, now=clock.now()):
        messages.success(request, _("Joined: they are one now."))
        return redirect("privacy:merges", here.slug)
    kept = (form if form.is_bound else pick).kept()
    form.initial["into"] = kept
    context = {
        "gone": gone,
        "pick": pick,
        "page": selectors.merging(gone, kept) if kept else None,
        "form": form,
    }
    return render(request, "privacy/merge.html", context)


@opens_to(Role.LEAD)
@require_POST
def settle(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Write down whether two lines of one name are one person."""
    here = request.standing.demonstration
    led = Gathering.objects.led_by(request.user).of(here)
    rows = Receipt.objects.at_gatherings(led)
    receipt = get_object_or_404(rows.select_related("gathering__demonstration"), pk=pk)
    form = SameForm(request.POST, people=Volunteer.objects.of(here).active())
    if form.submit(receipt=receipt, by=request.user, now=clock.now()):
        messages.success(request, _("Name settled."))
    for errors in form.errors.values():
        for words in errors:
            messages.error(request, str(words))
    return redirect("fieldlog:book", here.slug, receipt.gathering_id)
