"""The lead's pages: the call, and who came."""

from datetime import datetime
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.doors import asks_and_takes, done_or_said
from heritage.gatherings.call import selectors, services
from heritage.gatherings.call.forms import CallForm, filled_in
from heritage.gatherings.gate import selectors as gate_selectors
from heritage.gatherings.gate import services as gate_services
from heritage.gatherings.gate.forms import TurnoutForm, WalkInForm
from heritage.gatherings.ground import selectors as ground_selectors
from heritage.gatherings.ground.views import led, put_back
from heritage.gatherings.letters import services as letter_services
from heritage.gatherings.models import Decision, Gathering, WhyOff
from heritage.kits.forecast import CREDIT, LICENCE_URL, ForecastError
from heritage.people.models import Letter
from heritage.people.request import VolunteerRequest


@opens_to(Role.LEAD)
@never_cache
@asks_and_takes
def call(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Weigh the weather and the light, then decide."""
    row, now = led(request, pk), clock.now()
    sent = _with_forecast(request, row, now) if request.method == "POST" else None
    form = CallForm(sent)
    advice = None
    if sent and form.is_valid():
        thunder = form.thunder_at()
        advice = selectors.advise(row, form.readings(), now, thunder_at=thunder)
        form.fields["decision"].required = True
        if "decide" in request.POST and _decided(request, row, form):
            return redirect(row)
    context = {
        "gathering": row,
        "form": form,
        "advice": advice,
        "light": ground_selectors.light_of(row),
        "calls": list(row.calls.newest_first()),
        "is_over": now >= row.ends_at,
        "has_forecast": services.is_configured(),
        "credit": CREDIT,
        "credit_url": LICENCE_URL,
    }
    return render(request, "gatherings/gathering_call.html", context)


def _with_forecast(
    request: VolunteerRequest, row: Gathering, now: datetime
) -> QueryDict:
    """Return what was sent; filled in from the forecast if its button was pressed.

    Whatever goes wrong with the forecast, what was typed stays and is weighed.
    """
    if "forecast" not in request.POST:
        return request.POST
    try:
        forecast = services.read_forecast(row, now)
    except ForecastError as error:
        messages.warning(request, services.why_not(error))
        return request.POST
    return filled_in(request.POST, forecast, row.demonstration.zone)


def _decided(request: VolunteerRequest, row: Gathering, form: CallForm) -> bool:
    data = form.cleaned_data
    if not data["decision"]:
        form.add_error("decision", _("Choose what you decide."))
        return False
    try:
        made = services.make_call(
            gathering=row,
            readings=form.readings(),
            decision=Decision(data["decision"]),
            why_off=WhyOff(data["why_off"]) if data["why_off"] else None,
            note=data["note"],
            by=request.user,
            now=clock.now(),
            key=data["key"],
            sources=form.sources(),
            thunder_at=form.thunder_at(),
        )
    except ValidationError as error:
        put_back(form, error)
        return False
    words = _("The call is made: %s.") % made.get_decision_display()
    messages.success(request, words)
    return True


@opens_to(Role.LEAD)
@require_POST
def told(request: VolunteerRequest, pk: int, letter_pk: int) -> HttpResponse:
    """Write down that somebody whom no mail reached was telephoned."""
    row = led(request, pk)
    letter = get_object_or_404(Letter.objects.of(row.demonstration), pk=letter_pk)
    done_or_said(
        request,
        lambda: letter_services.note_told(
            gathering=row, letter=letter, by=request.user, now=clock.now()
        ),
        _("Written down: they know."),
    )
    return redirect(row)


@opens_to(Role.LEAD)
@never_cache
@asks_and_takes
def turnout(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Tick off who came, from when to when; a name typed below is written in too."""
    sent = request.POST if request.method == "POST" else None
    is_named = bool(sent and (sent.get("name") or sent.get("volunteer")))
    return _turnout(request, pk, sent, sent if is_named else None)


@opens_to(Role.LEAD)
@never_cache
@require_POST
def walk_in(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Write in somebody who came without a place, and keep the ticks sent along."""
    ticks = request.POST if "list" in request.POST else None
    return _turnout(request, pk, ticks, request.POST)


def _turnout(
    request: VolunteerRequest, pk: int, ticks: Any, somebody: Any
) -> HttpResponse:
    """Write down what was sent, or show the page with what is to be put right."""
    row, now = led(request, pk), clock.now()
    page = gate_selectors.turnout_page(row, now)
    form = TurnoutForm(ticks, gathering=row, rows=page.rows)
    walk_in = WalkInForm(somebody, others=page.others)
    if request.method == "POST" and _written(request, row, form, walk_in, now):
        return redirect("gatherings:turnout", row.demonstration.slug, row.pk)
    context = {"page": page, "form": form, "walk_in": walk_in}
    return render(request, "gatherings/gathering_turnout.html", context)


def _written(
    request: VolunteerRequest,
    row: Gathering,
    form: TurnoutForm,
    walk_in: WalkInForm,
    now: datetime,
) -> bool:
    """Keep the ticks, then the walk-in: sent again, neither happens twice."""
    # Both are asked, so that the page names everything there is to put right.
    answers = [one.is_valid() for one in (form, walk_in) if one.is_bound]
    if not all(answers):
        return False
    now_writing: TurnoutForm | WalkInForm = form
    try:
        if form.is_bound:
            gate_services.record_list(
                gathering=row, marks=form.marks(), by=request.user
            )
            messages.success(request, _("The list is written down."))
        if walk_in.is_bound:
            now_writing = walk_in
            who = walk_in.cleaned_data
            came = gate_services.write_in(
                gathering=row, by=request.user, now=now, **who
            )
            messages.success(request, _("%s is on the list.") % came.volunteer)
    except ValidationError as error:
        put_back(now_writing, error)
        return False
    return True
