"""Pages of the treading rota that organisers use: plan, working out, by hand."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.forms import (
    asks_and_takes,
    by_local_clock,
    refusals_shown,
    typed,
)
from heritage.dam.models import Ret, RotaPlan, Treader
from heritage.dam.rota import forms, selectors, services
from heritage.dam.selectors import RetState, ret_page
from heritage.dam.treading.selectors import plan_of, turn_page
from heritage.dam.views import ret_at, turn_at
from heritage.people.request import VolunteerRequest

# Where no forecast can be made, since nobody has read the water yet.
WITHOUT_FORECAST = timedelta(days=9)


@opens_to(Role.ORGANISER)
@asks_and_takes
@by_local_clock
def rota_plan(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Plan the treading of a ret, or change the plan."""
    now, ret = clock.now(), ret_at(request, pk)
    plan, state = plan_of(ret), ret_page(ret, now).state
    new = RotaPlan(ret=ret, **_usual_days(ret, state))
    form = forms.PlanForm(typed(request), instance=plan or new)
    if form.submit(by=request.user, now=now):
        messages.success(
            request, _("The treading is planned. People can say when they come.")
        )
        return redirect(_treading(ret))
    context = {"form": form, "ret": ret, "state": state, "plan": plan}
    context["has_briefings"] = ret.dam.demonstration.briefings.exists()
    return render(request, "dam/rota_plan.html", context)


def _usual_days(ret: Ret, state: RetState) -> dict[str, Any]:
    """Offer today until the latest day that the forecast gives."""
    today = clock.today(ret.dam.demonstration.time_zone)
    late = state.late and state.late.astimezone(ret.dam.demonstration.zone).date()
    last = max(late, today) if late else today + WITHOUT_FORECAST
    return {"first_day": today, "last_day": last}


def _treading(ret: Ret) -> str:
    return reverse("dam:treading", args=[ret.dam.demonstration.slug, ret.pk])


@opens_to(Role.ORGANISER)
@require_safe
@by_local_clock
def rota_preview(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Work the rota out, and show it before it is taken."""
    ret = ret_at(request, pk)
    plan = plan_of(ret)
    if plan is None or ret.lifted_at:
        messages.error(request, _("There is no treading to work out for this ret."))
        return redirect(_treading(ret))
    proposal = selectors.work_out(plan, clock.now())
    context = {"ret": ret, "page": proposal, "sealed": forms.seal_rota(ret, proposal)}
    return render(request, "dam/rota_preview.html", context)


@opens_to(Role.ORGANISER)
@require_POST
@by_local_clock
def rota_take(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Take the rota as it was shown, and tell people."""
    ret = ret_at(request, pk)
    form = forms.TakeForm(request.POST, ret=ret)
    if form.submit(by=request.user, now=clock.now()):
        messages.success(
            request, _("Rota saved. We tell everybody whose turns changed.")
        )
        return redirect(_treading(ret))
    for errors in form.errors.values():
        for sentence in errors:
            messages.error(request, str(sentence))
    return redirect("dam:rota_preview", request.standing.demonstration.slug, ret.pk)


@opens_to(Role.ORGANISER)
@asks_and_takes
@by_local_clock
def turn(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show one turn, to put people on or take them off by hand."""
    turn, now = turn_at(request, pk), clock.now()
    form = forms.AskedForm(typed(request), turn=turn)
    if form.submit(turn=turn, by=request.user, now=now):
        messages.success(request, _("%s is on this turn.") % form.saved.volunteer)
        return redirect(request.path)
    page = turn_page(turn, now)
    return render(request, "dam/turn.html", {"page": page, "form": form})


@opens_to(Role.ORGANISER)
@require_POST
@by_local_clock
def turn_put_on(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Put somebody on a turn."""
    return _by_hand(request, pk, services.put_on, _("%s is on this turn."))


@opens_to(Role.ORGANISER)
@require_POST
@by_local_clock
def turn_take_off(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Take somebody off a turn."""
    return _by_hand(request, pk, services.take_off, _("%s is off this turn."))


@opens_to(Role.ORGANISER)
@require_POST
@by_local_clock
def turn_watch(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Say who of a turn watches from the bank."""
    return _by_hand(request, pk, services.name_watcher, _("%s watches this turn."))


def _by_hand(
    request: VolunteerRequest, pk: int, service: Callable[..., Treader], words: str
) -> HttpResponse:
    turn = turn_at(request, pk)
    form = forms.HandForm(request.POST, turn=turn)
    if form.is_valid():
        who = form.cleaned_data["volunteer"]
        with refusals_shown(request):
            service(turn=turn, volunteer=who, by=request.user, now=clock.now())
            messages.success(request, words % who)
    else:
        messages.error(request, _("Choose somebody from the list."))
    return redirect("dam:turn", request.standing.demonstration.slug, turn.pk)
