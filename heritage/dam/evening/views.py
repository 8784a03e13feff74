"""Pages of the filling evening: the plan, the loads as they come, the sheet."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to, row_or_404
from heritage.common.forms import (
    asks_and_takes,
    by_local_clock,
    refusals_shown,
    typed,
)
from heritage.common.sheets import pdf_response
from heritage.dam.evening import forms, services, sheets
from heritage.dam.evening.selectors import (
    EveningPage,
    evening_page,
    next_posted,
    open_evening,
)
from heritage.dam.filling.selectors import beets_left
from heritage.dam.models import AskedOf, Dam, FillEvening, FillLoad, WaterAsked
from heritage.dam.rota.selectors import may_tick
from heritage.dam.services import why_not_filled
from heritage.dam.views import dam_at
from heritage.dam.words import CAUTIONS
from heritage.people.request import VolunteerRequest
from heritage.tally.pace.selectors import LOAD

# What the next plan takes over from the last.
KEPT = (
    "load_beets",
    "distance_m",
    "speed_kmh",
    "carts",
    "loaders",
    "placers",
    "weigh_down_min",
    "water_first",
)


def evening_at(request: VolunteerRequest, pk: int) -> FillEvening:
    """Return the open evening of a dam the reader may see, or answer 404."""
    rows = FillEvening.objects.visible_to(request.user).to_come()
    dam = dam_at(request, pk)
    found = rows.of_dam(dam).first()
    return row_or_404(rows.with_dam(), request, found.pk if found else 0)


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
@by_local_clock
def evening(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show how the filling evening stands, with the next load to tick."""
    now = clock.now()
    page = evening_page(evening_at(request, pk), now)
    return _shown(request, page, _load_form(page))


def _load_form(page: EveningPage) -> forms.LoadForm:
    part = page.first_lot
    initial: dict[str, Any] = {"at": page.asked_at}
    if part:
        initial |= {"lot": part.lot.pk, "beets": part.to_come[0]}
    return forms.LoadForm(initial=initial, parts=page.parts)


def _shown(
    request: VolunteerRequest, page: EveningPage, form: forms.LoadForm
) -> HttpResponse:
    context = {
        "page": page,
        "form": form,
        "may_tick": may_tick(request.user, request.standing.demonstration),
        "why_not": why_not_filled(page.dam),
        "cautions": CAUTIONS,
    }
    return render(request, "dam/evening.html", context)


@opens_to(Role.LEAD)
@never_cache
@require_POST
@by_local_clock
def load_add(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Tick a load that came to the dam."""
    now = clock.now()
    rows = FillEvening.objects.led_by(request.user).to_come()
    found = row_or_404(rows.with_dam(), request, evening_at(request, pk).pk)
    page = evening_page(found, now)
    form = forms.LoadForm(request.POST, parts=page.parts)
    if form.submit(evening=found, by=request.user, now=now):
        messages.success(request, _("Load %d is ticked.") % (len(page.loads) + 1))
        return redirect(found)
    return _shown(request, page, form)


@opens_to(Role.LEAD)
@require_POST
@by_local_clock
def load_back(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Take back a load that was ticked by mistake."""
    rows = FillLoad.objects.led_by(request.user).with_all()
    load = row_or_404(rows, request, pk)
    with refusals_shown(request):
        services.take_back(load=load, by=request.user, now=clock.now())
        messages.success(request, _("Load removed."))
    return redirect(load.evening if load.evening.ret_id is None else load.evening.dam)


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
@by_local_clock
def evening_plan(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Plan the filling of a dam, change the plan, or give it up."""
    now, dam = clock.now(), dam_at(request, pk)
    plan = open_evening(dam)
    if plan and request.method == "POST" and "drop" in request.POST:
        with refusals_shown(request):
            services.drop_evening(evening=plan)
            messages.success(request, _("Plan deleted."))
        return redirect(dam)
    at = max(now, plan.starts_at) if plan else now
    left = beets_left(dam.demonstration, at)
    form = forms.PlanForm(
        typed(request),
        instance=plan or FillEvening(dam=dam),
        initial={} if plan else _offered(dam, now),
        there=left.lots,
    )
    if form.submit():
        messages.success(request, _("Evening planned."))
        return redirect(form.saved)
    context: dict[str, Any] = {"form": form, "dam": dam, "plan": plan, "left": left}
    context["is_asked"] = WaterAsked.objects.of_dam(dam).about(AskedOf.TAKE).exists()
    return render(request, "dam/evening_plan.html", context)


def _offered(dam: Dam, now: Any) -> dict[str, Any]:
    """Offer the evening that is posted, and the carts and hands of the last one."""
    here = dam.demonstration
    last = FillEvening.objects.of(here).newest_first().first()
    kept = {name: getattr(last, name) for name in KEPT} if last else {}
    usual = {"load_beets": round(LOAD.likely), "starts_at": next_posted(here, now)}
    return usual | kept


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
@by_local_clock
def evening_sheet(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Print the filling evening, with a line to tick for each load."""
    now = clock.now()
    pdf = sheets.evening_sheet(
        evening_page(evening_at(request, pk), now),
        printed_at=now,
        large_print=request.GET.get("large") == "1",
    )
    return pdf_response(pdf, "filling-evening")
