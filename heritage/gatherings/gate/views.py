"""The gate and the head-count: a press for each person, with or without script."""

import uuid
from datetime import datetime
from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to, row_or_404
from heritage.common.forms import ServiceForm, asks_and_takes, refusals_shown
from heritage.gatherings.gate import selectors, services
from heritage.gatherings.gate.forms import (
    ChildForm,
    EndForm,
    EverybodyOutForm,
    GivenStationForm,
    NewcomerForm,
    PersonForm,
    SeenNewForm,
)
from heritage.gatherings.models import Gathering, Muster
from heritage.gatherings.views import led, shown
from heritage.people.models import Volunteer
from heritage.people.request import VolunteerRequest

DEPART, UNSEEN = "depart", "unseen"


@opens_to(Role.LEAD)
@never_cache
@asks_and_takes
def gate(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Take a new name; who is here stands on the gathering's own page."""
    row, now = led(request, pk), clock.now()
    if request.method != "POST":
        return redirect(_asked(row, request.GET.get("wanted", "")))
    form = NewcomerForm(request.POST)
    if form.submit(gathering=row, by=request.user, now=now):
        messages.success(request, _("%s is here.") % form.saved.volunteer)
        return _at_gate(row)
    return shown(request, row, now, is_asked=True, newcomer=form)


@opens_to(Role.LEAD)
@never_cache
@require_POST
def child(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Take a child's name, with the adult who answers for them."""
    row, now = led(request, pk), clock.now()
    form = ChildForm(request.POST, adults=selectors.adults_here(row, now))
    if form.submit(gathering=row, by=request.user, now=now):
        messages.success(request, _("%s is here.") % form.saved.volunteer)
        return _at_gate(row)
    return shown(request, row, now, is_asked=True, child=form)


@opens_to(Role.LEAD)
@require_POST
def pass_gate(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Write down that somebody comes, or goes, now."""
    row, now = led(request, pk), clock.now()
    going = DEPART in request.POST
    service = services.depart if going else services.arrive
    words = _("%s has gone home.") if going else _("%s is here.")
    with refusals_shown(request):
        person = PersonForm(request.POST, gathering=row).press()
        service(gathering=row, volunteer=person, by=request.user, now=now)
        for alone in selectors.left_alone(row, person, now):
            messages.warning(
                request, _("%s is here without their adult. Who is with them?") % alone
            )
        messages.success(request, words % person)
    return _at_gate(row)


@opens_to(Role.LEAD)
@require_POST
def free(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Free the places of all who have not come."""
    row, now = led(request, pk), clock.now()
    with refusals_shown(request):
        freed = services.free_places(gathering=row, by=request.user, now=now)
        words = ngettext(
            "%d place is free. Anybody who comes later gets a place if there's room.",
            "%d places are free. Anybody who comes later gets a place if there's room.",
            len(freed),
        )
        messages.success(request, words % len(freed))
    return _at_gate(row)


@opens_to(Role.LEAD)
@never_cache
@require_safe
def head_count(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show who is in the field now; in an emergency, who has been seen."""
    return _head_count(request, led(request, pk), clock.now())


@opens_to(Role.LEAD)
@require_POST
def everybody_out(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Call everybody to the meeting point: the head-count begins."""
    row, now = led(request, pk), clock.now()
    form = EverybodyOutForm(request.POST)
    if form.submit(gathering=row, by=request.user, now=now):
        return _back(row, "head_count")
    return _head_count(request, row, now, out=form)


@opens_to(Role.LEAD)
@require_POST
def seen(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Tick somebody seen at the meeting point, or take the tick back."""
    row, now = led(request, pk), clock.now()
    muster = _going_on(row)
    with refusals_shown(request):
        person = PersonForm(request.POST, gathering=row).press()
        if UNSEEN in request.POST:
            services.unsee(muster=muster, volunteer=person, by=request.user)
            words = _("%s is to be looked for again.")
        else:
            services.see(muster=muster, volunteer=person, by=request.user, now=now)
            words = _("%s is safe.")
        # With script the list itself shows what was done.
        if not request.htmx:
            messages.success(request, words % person)
    return _head_count(request, row, now) if request.htmx else _back(row, "head_count")


@opens_to(Role.LEAD)
@require_POST
def seen_new(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Tick somebody who is on no list."""
    row, now = led(request, pk), clock.now()
    muster = _going_on(row)
    form = SeenNewForm(request.POST, adults=selectors.adults_counted(row, now))
    if form.submit(muster=muster, by=request.user, now=now):
        return _back(row, "head_count")
    return _head_count(request, row, now, newcomer=form)


@opens_to(Role.LEAD)
@require_POST
def end_head_count(request: VolunteerRequest, pk: int) -> HttpResponse:
    """End the head-count, with words where somebody has not been seen."""
    row, now = led(request, pk), clock.now()
    form = EndForm(request.POST)
    if form.submit(muster=_going_on(row), by=request.user, now=now):
        messages.success(request, _("The head-count has ended."))
        return _back(row, "head_count")
    return _head_count(request, row, now, end=form)


@opens_to(Role.LEAD)
@never_cache
@asks_and_takes
def gate_station(request: VolunteerRequest, pk: int, person_pk: int) -> HttpResponse:
    """Show where somebody may be put, and put them there by one press."""
    row, now = led(request, pk), clock.now()
    everybody = Volunteer.objects.active().select_related("guardian")
    person = row_or_404(everybody, request, person_pk)
    if request.method != "POST":
        page = selectors.stations_for(row, person, now)
        return render(request, "gatherings/gathering_gate_station.html", {"page": page})
    back = request.path
    with refusals_shown(request):
        form = GivenStationForm(request.POST, gathering=row)
        entry = form.press(volunteer=person, by=request.user, now=now)
        words = _("%(who)s is at %(station)s now.")
        messages.success(request, words % {"who": person, "station": entry.station})
        back = row.get_absolute_url()
    return redirect(back)


def _asked(row: Gathering, wanted: str = "") -> str:
    """Return the address of a gathering's page as if it were on."""
    query = {"wanted": wanted} if wanted else {"here": 1}
    return f"{row.get_absolute_url()}?{urlencode(query)}"


def _at_gate(row: Gathering) -> HttpResponse:
    """Show who is here again: one called off, or closed, is not on by itself."""
    is_on = not (row.is_called_off or row.closed_at)
    return redirect(row if is_on else _asked(row))


def _back(row: Gathering, page: str) -> HttpResponse:
    return redirect(f"gatherings:{page}", row.demonstration.slug, row.pk)


def _going_on(row: Gathering) -> Muster:
    """Return the head-count that goes on, or answer 404."""
    return get_object_or_404(row.musters.open())


def _head_count(
    request: VolunteerRequest, row: Gathering, now: datetime, **sent: ServiceForm
) -> HttpResponse:
    """Show the head-count, with the form that is to be checked."""
    context = {
        "page": selectors.head_count(row, now),
        "out": EverybodyOutForm(initial={"key": uuid.uuid4()}),
        "newcomer": SeenNewForm(adults=selectors.adults_counted(row, now)),
        "end": EndForm(),
        "now": now,
    }
    part = "#people" if request.htmx else ""
    template = f"gatherings/gathering_head_count.html{part}"
    return render(request, template, context | sent)
