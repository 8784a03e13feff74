"""Pages of the treading that everybody uses: who can come, who trod, the sheet."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.forms import (
    asks_and_takes,
    by_local_clock,
    refusals_shown,
    typed,
)
from heritage.common.sheets import pdf_response
from heritage.dam.rota import forms
from heritage.dam.treading import selectors, sheets
from heritage.dam.views import ret_at, turn_at
from heritage.dam.words import CAUTIONS
from heritage.people.request import VolunteerRequest


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
@by_local_clock
def treading(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show a ret's turns, with the buttons to say who can come."""
    asked = request.GET.get("who", "")
    page = selectors.treading_page(
        ret_at(request, pk),
        request.user,
        clock.now(),
        asked=int(asked) if asked.isdecimal() else None,
    )
    looked_for = request.GET if "name" in request.GET else None
    find = forms.FindForm(looked_for, others=page.others)
    if find.is_valid():
        return redirect(f"{request.path}?who={find.cleaned_data['name'].pk}")
    context = {"page": page, "cautions": CAUTIONS, "find": find}
    return render(request, "dam/treading.html", context)


@opens_to(Role.VOLUNTEER)
@require_POST
@by_local_clock
def answer(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Write down whether somebody can come to one turn."""
    ret = ret_at(request, pk)
    form = forms.AnswerForm(request.POST, ret=ret)
    back = reverse("dam:treading", args=[request.standing.demonstration.slug, ret.pk])
    if not form.is_valid():
        messages.error(request, _("The page was out of date. Press again, please."))
        return redirect(back)
    who, turn = form.cleaned_data["who"], form.turn
    can, cannot = _("%(who)s can come: %(turn)s."), _("%(who)s can't come: %(turn)s.")
    words = can if form.can_come else cannot
    with refusals_shown(request):
        form.write(by=request.user, now=clock.now())
        messages.success(
            request, words % {"who": who, "turn": selectors.turn_words(turn)}
        )
    return redirect(f"{back}?who={who.pk}#turn-{turn.pk}")


@opens_to(Role.VOLUNTEER)
@never_cache
@asks_and_takes
@by_local_clock
def treading_record(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Who trod?."""
    now, turn = clock.now(), turn_at(request, pk)
    page = selectors.trodden_page(turn, request.user, now)
    initial = {
        "trodden_at": turn.trodden_at or min(now, turn.at),
        "people": page.ticked,
        "watcher": page.watcher,
    }
    form = forms.TroddenForm(
        typed(request), instance=turn, initial=initial, people=page.people
    )
    if form.submit(by=request.user, now=now):
        messages.success(request, _("Treading saved."))
        return redirect(turn)
    context = {"form": form, "page": page, "cautions": CAUTIONS}
    return render(request, "dam/treading_record.html", context)


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
@by_local_clock
def rota_sheet(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Print the rota, to hang at the dam."""
    now, ret = clock.now(), ret_at(request, pk)
    plan = selectors.plan_of(ret)
    if plan is None:
        messages.error(request, _("No treading is planned for this ret yet."))
        return redirect("dam:treading", request.standing.demonstration.slug, ret.pk)
    pdf = sheets.rota_sheet(
        plan,
        selectors.turn_lines(plan, now),
        printed_at=now,
        large_print=request.GET.get("large") == "1",
    )
    return pdf_response(pdf, "treading-rota")
