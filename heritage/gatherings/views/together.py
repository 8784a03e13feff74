"""Signing a household up with one form, and saying where else one would work."""

from collections.abc import Sequence

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.doors import asks_and_takes, carried_out, done_or_said, typed
from heritage.gatherings import selectors, services
from heritage.gatherings.forms import HouseholdForm, WishForm
from heritage.gatherings.models import SignUpStatus
from heritage.gatherings.views.doors import seen
from heritage.people.request import VolunteerRequest


@opens_to(Role.VOLUNTEER)
@never_cache
@asks_and_takes
def household(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Sign oneself and one's children up together, each with their own verdict."""
    gathering, now = seen(request, pk), clock.now()
    page = selectors.gathering_page(
        gathering, now=now, volunteer=request.standing.volunteer
    )
    free = [one for one in page.mine if one.place is None]
    form = HouseholdForm(typed(request), gathering=gathering, people=free)

    def write() -> None:
        verdicts = services.sign_up_together(
            gathering=gathering,
            asks=form.asks(),
            by=request.user,
            now=now,
            only_together=form.cleaned_data.get("only_together", False),
        )
        _say(request, verdicts)

    if carried_out(request, form, write):
        return redirect(gathering)
    context = {"page": page, "form": form, "free": free}
    return render(request, "gatherings/gathering_household.html", context)


@opens_to(Role.VOLUNTEER)
@require_POST
def wishes(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Say where else somebody would work."""
    gathering = seen(request, pk)
    form = WishForm(request.POST, gathering=gathering)
    if form.is_valid():
        data = form.cleaned_data
        done_or_said(
            request,
            lambda: services.wish(**data, by=request.user, now=clock.now()),
            _("Written down: the lead sees where %s would work too.")
            % data["sign_up"].volunteer,
        )
    else:
        messages.error(request, _("The page was out of date. Choose again, please."))
    return redirect(gathering)


def _say(request: VolunteerRequest, verdicts: Sequence[services.Verdict]) -> None:
    """Say of each person what became of it."""
    for one in verdicts:
        who = {"who": one.ask.volunteer, "station": one.ask.station}
        if one.sign_up is None:
            words = _("%s has not been signed up.") % one.ask.volunteer
            messages.error(request, f"{words} {one.refusal}")
        elif one.sign_up.status == SignUpStatus.HELD:
            messages.success(request, _("%(who)s has a place at %(station)s.") % who)
        else:
            words = _("%(station)s is full. %(who)s is on the waiting list.")
            messages.warning(request, words % who)
