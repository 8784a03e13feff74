"""The page of the stones on a ret."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.forms import asks_and_takes, by_local_clock, typed
from heritage.dam.models import StoneMove, StoneWay
from heritage.dam.stones.forms import StonesForm
from heritage.dam.stones.selectors import stones_page
from heritage.dam.views import ret_at
from heritage.dam.words import CAUTIONS
from heritage.people.request import VolunteerRequest


@opens_to(Role.VOLUNTEER)
@asks_and_takes
@by_local_clock
def stones(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show what lies on a ret and what to do, and write down stones moved."""
    now, ret = clock.now(), ret_at(request, pk)
    form = StonesForm(
        typed(request), instance=StoneMove(ret=ret), ret=ret, initial={"at": now}
    )
    if form.submit(by=request.user, now=now):
        messages.success(request, _said(form.saved))
        return redirect("dam:stones", request.standing.demonstration.slug, ret.pk)
    context = {"form": form, "page": stones_page(ret, now), "cautions": CAUTIONS}
    return render(request, "dam/stones.html", context)


def _said(move: StoneMove) -> str:
    on, off = _("%(stones)d put on, %(kg)s kg."), _("%(stones)d taken off, %(kg)s kg.")
    words = on if move.way == StoneWay.ON else off
    return words % {"stones": move.how_many, "kg": move.kg}
