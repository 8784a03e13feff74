"""Pages of the grass: spreading, turning, testing, bringing in."""

from dataclasses import replace

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
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
from heritage.fibre.grass import forms, selectors, words
from heritage.fibre.models import GrassEntry, Spreading, Way
from heritage.fibre.selectors import may_write, require_writer
from heritage.fibre.stock.selectors import take_stock
from heritage.fibre.store.selectors import store_page
from heritage.lots.selectors import LotAt
from heritage.people.request import VolunteerRequest


def _slug(request: VolunteerRequest) -> str:
    return request.standing.demonstration.slug


def spreading_at(request: VolunteerRequest, pk: int, *, write: bool) -> Spreading:
    """Return a spreading the reader may see, or change; otherwise answer 404."""
    if write:
        require_writer(request.user, request.standing)
    rows = Spreading.objects.visible_to(request.user).for_page()
    return row_or_404(rows, request, pk)


@opens_to(Role.LEAD)
@asks_and_takes
@by_local_clock
def spread(request: VolunteerRequest) -> HttpResponse:
    """Spread what came out of the dam."""
    return _spread(request, Way.AFTER_DAM)


@opens_to(Role.LEAD)
@asks_and_takes
@by_local_clock
def spread_dew(request: VolunteerRequest) -> HttpResponse:
    """Spread flax to ret by dew, out of the field."""
    return _spread(request, Way.DEW)


@opens_to(Role.LEAD)
@asks_and_takes
@by_local_clock
def spread_again(request: VolunteerRequest) -> HttpResponse:
    """Spread again what is too damp for the store."""
    return _spread(request, Way.AGAIN)


def _spread(request: VolunteerRequest, way: Way) -> HttpResponse:
    require_writer(request.user, request.standing)
    here, now = request.standing.demonstration, clock.now()
    page = selectors.spread_page(here, way)
    form = forms.SpreadForm(
        typed(request),
        lots=page.lots,
        # Out of the store goes only what is too damp.
        takes_all=way != Way.AGAIN,
        initial={"spread_at": now},
    )
    if form.submit(demonstration=here, way=way, by=request.user, now=now):
        messages.success(request, _("It's on the grass."))
        return redirect(form.saved)
    context = {"page": page, "form": form, "steps": words.HOW_TO_SPREAD}
    if way == Way.AGAIN:
        context["danger"] = store_page(take_stock(here), now).danger
    return render(request, "fibre/spread.html", context)


@opens_to(Role.VOLUNTEER)
@require_safe
@by_local_clock
def spreading(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show one spreading: how it stands, when to turn it and to test it."""
    row = spreading_at(request, pk, write=False)
    context = {
        "state": selectors.spreading_state(row, clock.now()),
        "may_write": may_write(request.user, request.standing),
        "words": words,
    }
    return render(request, "fibre/spreading.html", context)


@opens_to(Role.LEAD)
@asks_and_takes
def edit_spreading(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Correct where a spreading lies."""
    row = spreading_at(request, pk, write=True)
    page = RecordPage(
        title=_("Where it lies"),
        lead=row.where,
        submit=_("Save"),
        kept=_("Saved."),
        back=row.get_absolute_url(),
        remove=_("Delete this spreading"),
        removed=_("It's gone."),
    )
    if request.method == "POST" and "away" in request.POST:
        page = replace(page, back=reverse("fibre:after_dam", args=[_slug(request)]))
    form = forms.SpreadingForm(typed(request), instance=row)
    return take_record(request, form, page, now=clock.now())


@opens_to(Role.LEAD)
@asks_and_takes
@by_local_clock
def add_entry(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Write down that it was turned, set up or tested."""
    row, now = spreading_at(request, pk, write=True), clock.now()
    entry = GrassEntry(spreading=row)
    initial = {"at": now, "what": request.GET.get("what", "")}
    form = forms.EntryForm(typed(request), instance=entry, initial=initial)
    if form.submit(by=request.user, now=now):
        messages.success(request, _("Saved."))
        return redirect(row)
    context = {"form": form, "spreading": row, "steps": words.HOW_TO_TEST}
    return render(request, "fibre/grass_entry.html", context)


@opens_to(Role.LEAD)
@asks_and_takes
@by_local_clock
def grass_entry(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Correct an entry, or take it away."""
    require_writer(request.user, request.standing)
    rows = GrassEntry.objects.visible_to(request.user)
    entry = row_or_404(rows.select_related("spreading__demonstration"), request, pk)
    page = RecordPage(
        title=_("What was done on the grass"),
        lead=str(entry.spreading),
        submit=_("Save"),
        kept=_("Saved."),
        back=entry.spreading.get_absolute_url(),
        remove=_("Delete this entry"),
        removed=_("The line is gone."),
    )
    form = forms.EntryForm(typed(request), instance=entry)
    return take_record(request, form, page, by=request.user, now=clock.now())


@opens_to(Role.LEAD)
@asks_and_takes
def weather(request: VolunteerRequest) -> HttpResponse:
    """Write down how wet and warm a day was."""
    require_writer(request.user, request.standing)
    here = request.standing.demonstration
    today = clock.today(here.time_zone)
    form = forms.WeatherForm(typed(request), initial={"day": today})
    if form.submit(demonstration=here, today=today):
        messages.success(request, _("Day saved."))
        return redirect("fibre:grass_weather", here.slug)
    context = {"form": form, "days": selectors.weather_days(here)}
    return render(request, "fibre/grass_weather.html", context)


@opens_to(Role.LEAD)
@asks_and_takes
@by_local_clock
def bring_in(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Bring flax in from the grass to the store."""
    row, now = spreading_at(request, pk, write=True), clock.now()
    state = selectors.spreading_state(row, now)
    lots = [LotAt(one.lot, one.lying, 0) for one in state.lots if one.lying]
    form = forms.BringInForm(typed(request), lots=lots, initial={"at": now})
    if form.submit(spreading=row, by=request.user, now=now):
        messages.success(request, _("It's in the store."))
        return redirect("fibre:store", request.standing.demonstration.slug)
    context = {"form": form, "state": state}
    return render(request, "fibre/bring_in.html", context)
