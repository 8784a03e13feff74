"""Pages of the treading rota that organisers use: plan, working out, by hand."""

from datetime import timedelta
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.doors import asks_and_takes, carried_out, done_or_said, made, typed
from heritage.dam import selectors as dam_selectors
from heritage.dam.models import Ret, RotaPlan, Treading
from heritage.dam.rota import forms, selectors, services
from heritage.dam.treading import selectors as treading_selectors
from heritage.dam.views import by_its_clock, ret_at, turn_at
from heritage.people.request import VolunteerRequest

# Where no forecast can be made, since nobody has read the water yet.
WITHOUT_FORECAST = timedelta(days=9)


@opens_to(Role.ORGANISER)
@asks_and_takes
@by_its_clock
def rota_plan(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Plan the treading of a ret, or change the plan."""
    now, found = clock.now(), ret_at(request, pk)
    plan = treading_selectors.plan_of(found)
    state = dam_selectors.ret_page(found, now).state
    form = forms.PlanForm(
        typed(request),
        instance=plan or RotaPlan(ret=found),
        initial={} if plan else _usual_days(found, state),
        where=request.standing.demonstration,
    )
    kept = made(
        request,
        form,
        lambda: services.plan_treading(
            ret=found, by=request.user, now=now, **form.cleaned_data
        ),
    )
    if kept:
        messages.success(
            request, _("The treading is planned. People can say when they come.")
        )
        return redirect("dam:treading", request.standing.demonstration.slug, found.pk)
    context = {
        "form": form,
        "ret": found,
        "state": state,
        "plan": plan,
        "has_briefings": request.standing.demonstration.briefings.exists(),
    }
    return render(request, "dam/rota_plan.html", context)


def _usual_days(ret: Ret, state: dam_selectors.RetState) -> dict[str, Any]:
    """Offer today until the latest day that the forecast gives."""
    today = clock.today(ret.dam.demonstration.time_zone)
    late = state.late and state.late.astimezone(ret.dam.demonstration.zone).date()
    last = max(late, today) if late else today + WITHOUT_FORECAST
    return {"first_day": today, "last_day": last}


@opens_to(Role.ORGANISER)
@require_safe
@by_its_clock
def rota_preview(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Work the rota out, and show it before it is taken."""
    found = ret_at(request, pk)
    plan = treading_selectors.plan_of(found)
    if plan is None or found.lifted_at:
        messages.error(request, _("There is no treading to work out for this ret."))
        return redirect("dam:treading", request.standing.demonstration.slug, found.pk)
    proposal = selectors.work_out(plan, clock.now())
    context = {
        "ret": found,
        "page": proposal,
        "sealed": forms.seal_rota(found, proposal),
    }
    return render(request, "dam/rota_preview.html", context)


@opens_to(Role.ORGANISER)
@require_POST
@by_its_clock
def rota_take(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Take the rota as it was shown, and tell people."""
    found = ret_at(request, pk)
    form = forms.TakeForm(request.POST, ret=found)
    taken = carried_out(
        request,
        form,
        lambda: services.take_rota(
            ret=found,
            places=form.cleaned_data["rota"],
            by=request.user,
            now=clock.now(),
        ),
    )
    slug = request.standing.demonstration.slug
    if taken:
        messages.success(
            request, _("The rota stands. Whoever's turns changed is written to.")
        )
        return redirect("dam:treading", slug, found.pk)
    for errors in form.errors.values():
        for sentence in errors:
            messages.error(request, str(sentence))
    return redirect("dam:rota_preview", slug, found.pk)


@opens_to(Role.ORGANISER)
@require_safe
@by_its_clock
def turn(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show one turn, to put people on or take them off by hand."""
    found = turn_at(request, pk)
    page = treading_selectors.turn_page(found, clock.now())
    form = forms.HandForm(where=request.standing.demonstration)
    return render(request, "dam/turn.html", {"page": page, "form": form})


@opens_to(Role.ORGANISER)
@require_POST
@by_its_clock
def turn_put_on(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Put somebody on a turn."""
    found = turn_at(request, pk)
    return _by_hand(request, found, services.put_on, _("%s is on this turn."))


@opens_to(Role.ORGANISER)
@require_POST
@by_its_clock
def turn_take_off(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Take somebody off a turn."""
    found = turn_at(request, pk)
    return _by_hand(request, found, services.take_off, _("%s is off this turn."))


@opens_to(Role.ORGANISER)
@require_POST
@by_its_clock
def turn_watch(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Say who of a turn watches from the bank."""
    found = turn_at(request, pk)
    return _by_hand(request, found, services.name_watcher, _("%s watches this turn."))


def _by_hand(
    request: VolunteerRequest, found: Treading, write: Any, words: str
) -> HttpResponse:
    where = request.standing.demonstration
    form = forms.HandForm(request.POST, where=where)
    if form.is_valid():
        who = form.cleaned_data["volunteer"]
        done_or_said(
            request,
            lambda: write(turn=found, volunteer=who, by=request.user, now=clock.now()),
            words % who,
        )
    else:
        messages.error(request, _("Choose somebody from the list."))
    return redirect("dam:turn", where.slug, found.pk)
