"""Asking about a lift, and the stones for the dam."""

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to, row_or_new
from heritage.common.forms import RecordPage, asks_and_takes, take_record, typed
from heritage.common.sheets import pdf_response
from heritage.machines.lifting import selectors, sheets
from heritage.machines.lifting.forms import (
    HoldingForm,
    LiftForm,
    StoneForm,
)
from heritage.machines.models import Stone
from heritage.people.request import Request


@opens_to(Role.VOLUNTEER)
@require_safe
def lifting(request: Request) -> HttpResponse:
    """Answer what a lift comes to, or why no figure is given."""
    form = LiftForm(request.GET if "weight_kg" in request.GET else None)
    answer = None
    if form.is_bound and form.is_valid():
        answer = selectors.lift_answer(form.asked())
    context = {"form": form, "answer": answer}
    return render(request, "machines/lifting.html", context)


@opens_to(Role.VOLUNTEER)
@require_safe
def stones(request: Request) -> HttpResponse:
    """Show which stones one, two or three may lift."""
    form = _holding(request)
    page = selectors.stone_page(request.standing.demonstration, form.holding())
    context = {"page": page, "form": form, "query": request.GET.urlencode()}
    return render(request, "machines/stone_list.html", context)


@opens_to(Role.VOLUNTEER)
@require_safe
def stones_sheet(request: Request) -> HttpResponse:
    """Print which stones one, two or three may lift."""
    demonstration = request.standing.demonstration
    pdf = sheets.stones_sheet(
        selectors.stone_page(demonstration, _holding(request).holding()),
        printed_on=clock.today(demonstration.time_zone),
        large_print="large" in request.GET,
    )
    return pdf_response(pdf, "stones")


@opens_to(Role.ORGANISER)
@asks_and_takes
def take_stone(request: Request, pk: int | None = None) -> HttpResponse:
    """Write down a stone, correct it, or take it off the list."""
    rows = Stone.objects.managed_by(request.user).select_related("demonstration")
    stone = row_or_new(rows, request, pk)
    page = RecordPage(
        title=_("Stone %s") % stone.mark if stone.pk else _("Add a stone"),
        lead=_("Weigh it once and paint its mark on it. Nobody has to guess again."),
        submit=_("Save"),
        kept=_("Saved.") if stone.pk else _("Stone added."),
        back=reverse("machines:stones", args=[request.standing.demonstration.slug]),
        remove=_("Delete the stone"),
        removed=_("Stone deleted."),
    )
    return take_record(request, StoneForm(typed(request), instance=stone), page)


def _holding(request: Request) -> HoldingForm:
    return HoldingForm(request.GET if "start" in request.GET else None)
