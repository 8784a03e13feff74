"""Pages of the dam before a filling and after it."""

from datetime import datetime
from typing import Any, TypeVar

from django.db.models import Model
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to, row_or_404
from heritage.common.forms import (
    RecordPage,
    asks_and_takes,
    by_local_clock,
    take_record,
    typed,
)
from heritage.common.models import OwnedQuerySet
from heritage.common.sheets import pdf_response
from heritage.dam.models import AskedOf, Dam, DamWork, FlowTest, LeakTest, WaterAsked
from heritage.dam.views import dam_at
from heritage.dam.words import CAUTIONS
from heritage.dam.works import forms, sheets
from heritage.dam.works.selectors import works_page
from heritage.people.request import VolunteerRequest

Line = TypeVar("Line", bound=Model)


def line_at(
    model: type[Line], request: VolunteerRequest, pk: int, *, is_new: bool
) -> Line:
    """Return a new line of a dam, or one of its lines, or answer 404."""
    if is_new:
        return model(dam=dam_at(request, pk))
    rows: OwnedQuerySet[Line] = model._default_manager.managed_by(request.user)  # type: ignore[attr-defined]
    return row_or_404(rows.select_related("dam__demonstration"), request, pk)


@opens_to(Role.ORGANISER)
@never_cache
@require_safe
@by_local_clock
def works(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show a dam before a filling and after it."""
    page = works_page(dam_at(request, pk))
    return render(request, "dam/works.html", {"page": page, "cautions": CAUTIONS})


@opens_to(Role.ORGANISER)
@never_cache
@require_safe
@by_local_clock
def book_sheet(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Print the dam's book: before the ret, the ret, and after it."""
    pdf = sheets.book_sheet(
        works_page(dam_at(request, pk)),
        printed_at=clock.now(),
        large_print=request.GET.get("large") == "1",
    )
    return pdf_response(pdf, "dam-book")


@opens_to(Role.ORGANISER)
@asks_and_takes
@by_local_clock
def take_work(request: VolunteerRequest, pk: int, *, is_new: bool) -> HttpResponse:
    """Write down a repair, a lining, or how the water looked; or change it."""
    work = line_at(DamWork, request, pk, is_new=is_new)
    now = clock.now()
    initial = _first({"day": _today(work.dam, now)}, work)
    if not work.pk and request.GET.get("kind"):
        initial["kind"] = request.GET["kind"]
    form = forms.WorkForm(typed(request), instance=work, initial=initial)
    lead = _("One line for each day's work, or each look at the water.")
    page = _page(work.dam, work, _("Work on %s"), lead)
    return take_record(request, form, page, today=_today(work.dam, now), now=now)


@opens_to(Role.ORGANISER)
@asks_and_takes
@by_local_clock
def take_leak(request: VolunteerRequest, pk: int, *, is_new: bool) -> HttpResponse:
    """Write down a leak test, or change it."""
    test = line_at(LeakTest, request, pk, is_new=is_new)
    now = clock.now()
    initial = _first({"second_at": now}, test)
    form = forms.LeakForm(typed(request), instance=test, initial=initial)
    lead = _(
        "Fill the dam, let nothing in or out, and read the level twice at one stake, "
        "from the bank."
    )
    page = _page(test.dam, test, _("Leak test of %s"), lead)
    return take_record(request, form, page, today=_today(test.dam, now), now=now)


@opens_to(Role.ORGANISER)
@asks_and_takes
@by_local_clock
def take_flow(request: VolunteerRequest, pk: int, *, is_new: bool) -> HttpResponse:
    """Write down how fast the supply fills a bucket, or change it."""
    test = line_at(FlowTest, request, pk, is_new=is_new)
    now = clock.now()
    last = FlowTest.objects.of_dam(test.dam).newest_first().first()
    known = {"supply": last.supply, "litres": last.litres} if last else {}
    initial = _first({"day": _today(test.dam, now)} | known, test)
    form = forms.FlowForm(typed(request), instance=test, initial=initial)
    lead = _(
        "Hold a bucket under all that comes in, and time it. Three tries are best."
    )
    page = _page(test.dam, test, _("Water coming into %s"), lead)
    return take_record(request, form, page, today=_today(test.dam, now), now=now)


@opens_to(Role.ORGANISER)
@asks_and_takes
@by_local_clock
def take_asked(request: VolunteerRequest, pk: int, *, is_new: bool) -> HttpResponse:
    """Add who was asked about the water, and the answer."""
    asked = line_at(WaterAsked, request, pk, is_new=is_new)
    now = clock.now()
    about = request.GET.get("about", AskedOf.TAKE)
    initial = _first({"asked_on": _today(asked.dam, now), "about": about}, asked)
    form = forms.AskedForm(typed(request), instance=asked, initial=initial)
    lead = _("Rules differ from place to place: ask, and write the answer here.")
    page = _page(asked.dam, asked, _("Permission for the water of %s"), lead)
    return take_record(request, form, page, today=_today(asked.dam, now), now=now)


def _first(values: dict[str, Any], row: Model) -> dict[str, Any]:
    """Return what a new line begins with; one that is there has its own."""
    return {} if row.pk else values


def _today(dam: Dam, now: datetime) -> Any:
    return now.astimezone(dam.demonstration.zone).date()


def _page(dam: Dam, row: Model, title: str, lead: str) -> RecordPage:
    there = row.pk is not None
    return RecordPage(
        title=title % dam,
        lead=lead,
        submit=_("Save"),
        kept=_("Saved."),
        back=reverse("dam:works", args=[dam.demonstration.slug, dam.pk]),
        remove=_("Delete this entry") if there else "",
        removed=_("Deleted."),
        beside="dam/_at_the_edge.html",
    )
