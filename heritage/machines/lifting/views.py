"""Asking about a lift, and the stones for the dam."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to, row_or_404
from heritage.common.forms import SureForm, asks_and_takes, typed
from heritage.common.rows import remove_record
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
def add_stone(request: Request) -> HttpResponse:
    """Write down a stone."""
    here = request.standing.demonstration
    form = StoneForm(typed(request), instance=Stone(demonstration=here))
    if form.submit():
        messages.success(request, _("The stone is written down."))
        return redirect("machines:stones", here.slug)
    return render(request, "machines/stone_form.html", {"form": form})


@opens_to(Role.ORGANISER)
@asks_and_takes
def edit_stone(request: Request, pk: int) -> HttpResponse:
    """Correct a stone."""
    stone = _stone(request, pk)
    # The page is headed by the mark as it is kept, whatever is typed.
    form = StoneForm(typed(request), instance=_stone(request, pk))
    if form.submit():
        messages.success(request, _("Put right."))
        return redirect("machines:stones", request.standing.demonstration.slug)
    return render(request, "machines/stone_form.html", {"form": form, "stone": stone})


@opens_to(Role.ORGANISER)
@asks_and_takes
def delete_stone(request: Request, pk: int) -> HttpResponse:
    """Ask once more, then take a stone off the list."""
    stone = _stone(request, pk)
    form = SureForm(typed(request))
    if form.submit(service=remove_record, row=stone):
        messages.success(request, _("The stone is taken off the list."))
        return redirect("machines:stones", request.standing.demonstration.slug)
    return render(request, "machines/stone_delete.html", {"form": form, "stone": stone})


def _holding(request: Request) -> HoldingForm:
    return HoldingForm(request.GET if "start" in request.GET else None)


def _stone(request: Request, pk: int) -> Stone:
    rows = Stone.objects.managed_by(request.user).select_related("demonstration")
    return row_or_404(rows, request, pk)
