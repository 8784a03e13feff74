"""Pages of the test book, of how a ret came out, and of how rets are reckoned."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from heritage.calc.retting import SignKind
from heritage.common import clock
from heritage.common.access import Role, opens_to, row_or_404
from heritage.common.forms import (
    RecordPage,
    asks_and_takes,
    by_local_clock,
    take_record,
    typed,
)
from heritage.dam.learning import forms
from heritage.dam.learning.selectors import litres_per_kg
from heritage.dam.models import Check, Outcome, Reckoning
from heritage.dam.views import ret_at
from heritage.dam.words import KINDS, TEST_STEPS
from heritage.people.request import VolunteerRequest
from heritage.season.forecast.services import is_configured


@opens_to(Role.VOLUNTEER)
@asks_and_takes
@by_local_clock
def check_add(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Write down what a readiness test found, or what was seen from the bank."""
    now, ret = clock.now(), ret_at(request, pk)
    asked = request.GET.get("kind", "")
    kind = SignKind(asked) if asked in KINDS else SignKind.CORE
    form = forms.LookForm(typed(request), kind=kind, initial={"at": now})
    if form.submit(ret=ret, by=request.user, now=now):
        messages.success(request, _("Test saved."))
        return redirect(ret)
    form.ask_only_if_asked()
    context = {"form": form, "ret": ret, "kind": kind, "said": KINDS[kind]}
    context |= {"kinds": KINDS.items(), "steps": TEST_STEPS}
    return render(request, "dam/check_form.html", context)


@opens_to(Role.VOLUNTEER)
@require_POST
def check_strike(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Strike a test that was wrong, whole: it is kept, and doesn't count."""
    rows = Check.objects.visible_to(request.user)
    check = row_or_404(rows.select_related("ret__dam__demonstration"), request, pk)
    form = forms.StrikeTestForm(request.POST)
    if form.submit(check=check, by=request.user, now=clock.now()):
        words = _("The test no longer counts. It is kept, struck through.")
        messages.success(request, words)
    for sentences in form.errors.values():
        messages.error(request, str(sentences[0]))
    return redirect(check.ret)


@opens_to(Role.ORGANISER)
@asks_and_takes
@by_local_clock
def verdict(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Write down how the fibre of a lifted ret came out."""
    ret = ret_at(request, pk)
    outcome = Outcome.objects.filter(ret=ret).first() or Outcome(ret=ret)
    form = forms.OutcomeForm(typed(request), instance=outcome)
    page = RecordPage(
        title=_("How did it come out?"),
        lead=_("%s. The next ret in this dam learns from it.") % ret.dam.name,
        submit=_("Save"),
        kept=_("Saved. The next ret in this dam goes by it."),
        back=ret.get_absolute_url(),
        beside="dam/_how_it_came_out.html",
    )
    return take_record(request, form, page, by=request.user, now=clock.now())


@opens_to(Role.ORGANISER)
@asks_and_takes
def basis(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Say how the flax and the water of one ret were."""
    ret = ret_at(request, pk)
    page = RecordPage(
        title=_("Flax and water of this ret"),
        lead=_(
            "%(dam)s, about %(litres)d litres of water for each kilogram of dry flax. "
            "Little is known of how much these matter."
        )
        % {"dam": ret.dam.name, "litres": litres_per_kg(ret)},
        submit=_("Save"),
        kept=_("Saved."),
        back=ret.get_absolute_url(),
        beside="dam/_liquor.html",
    )
    return take_record(request, forms.BasisForm(typed(request), instance=ret), page)


@opens_to(Role.ORGANISER)
@asks_and_takes
def reckoning(request: VolunteerRequest) -> HttpResponse:
    """Set what a day late weighs against a day early, and the usual air of a place."""
    here = request.standing.demonstration
    row = Reckoning.objects.of(here).first() or Reckoning(demonstration=here)
    page = RecordPage(
        title=_("When to test: your settings"),
        lead=_("Every ret here goes by these. Leave them empty to use ours."),
        submit=_("Save"),
        kept=_("Saved. Every ret goes by it from now on."),
        back=reverse("dam:list", args=[here.slug]),
        beside="dam/_reckoning.html",
    )
    return take_record(request, forms.ReckoningForm(typed(request), instance=row), page)


@opens_to(Role.ORGANISER)
@asks_and_takes
def days_ahead(request: VolunteerRequest) -> HttpResponse:
    """Take the air of the days ahead from a forecast that somebody reads out."""
    here, now = request.standing.demonstration, clock.now()
    form = forms.DaysAheadForm(typed(request), today=clock.today(here.time_zone))
    if form.submit(demonstration=here, by=request.user, now=now):
        messages.success(request, _("Saved. The likely days now use it."))
        return redirect("dam:list", here.slug)
    context = {"form": form, "can_fetch": is_configured()}
    return render(request, "dam/days_ahead.html", context)
