"""The gate and the head-count: a press for each person, with or without script."""

import uuid
from collections.abc import Callable
from datetime import datetime

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.doors import asks_and_takes, carried_out, typed
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
from heritage.gatherings.ground.views import led
from heritage.gatherings.models import Gathering
from heritage.people.models import Volunteer
from heritage.people.request import VolunteerRequest

ARRIVE, DEPART, SEEN, UNSEEN = "arrive", "depart", "seen", "unseen"


@opens_to(Role.LEAD)
@never_cache
@asks_and_takes
def gate(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show who is expected, here and gone; take a new name."""
    row, now = led(request, pk), clock.now()
    form = NewcomerForm(typed(request))

    def write() -> None:
        name = form.cleaned_data["name"]
        came = services.arrive_new(gathering=row, name=name, by=request.user, now=now)
        messages.success(request, _("%s is here.") % came.volunteer)

    if carried_out(request, form, write):
        return redirect("gatherings:gate", row.demonstration.slug, row.pk)
    return _gate(request, row, now, form=form)


@opens_to(Role.LEAD)
@never_cache
@require_POST
def child(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Take a child's name, with the adult who answers for them."""
    row, now = led(request, pk), clock.now()
    form = ChildForm(request.POST, adults=selectors.adults_here(row, now))

    def write() -> None:
        came = services.arrive_child(
            gathering=row, by=request.user, now=now, **form.cleaned_data
        )
        messages.success(request, _("%s is here.") % came.volunteer)

    if carried_out(request, form, write):
        return redirect("gatherings:gate", row.demonstration.slug, row.pk)
    return _gate(request, row, now, child=form)


@opens_to(Role.LEAD)
@require_POST
def pass_gate(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Write down that somebody comes, or goes, now."""
    row, now = led(request, pk), clock.now()
    going = DEPART in request.POST
    service = services.depart if going else services.arrive
    words = _("%s has gone home.") if going else _("%s is here.")

    def write(person: Volunteer) -> str:
        service(gathering=row, volunteer=person, by=request.user, now=now)
        for alone in selectors.left_alone(row, person, now):
            messages.warning(
                request, _("%s is here without their adult. Who is with them?") % alone
            )
        return words % person

    _press(request, row, write)
    return redirect("gatherings:gate", row.demonstration.slug, row.pk)


@opens_to(Role.LEAD)
@require_POST
def free(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Free the places of all who have not come."""
    row, now = led(request, pk), clock.now()

    def write() -> str:
        freed = services.free_places(gathering=row, by=request.user, now=now)
        return ngettext(
            "%d place is free. Whoever comes later is taken in where there is room.",
            "%d places are free. Whoever comes later is taken in where there is room.",
            len(freed),
        ) % len(freed)

    _said_or_refused(request, write)
    return redirect("gatherings:gate", row.demonstration.slug, row.pk)


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

    def write() -> None:
        services.call_everybody_out(
            gathering=row, by=request.user, now=now, **form.cleaned_data
        )

    if carried_out(request, form, write):
        return redirect("gatherings:head_count", row.demonstration.slug, row.pk)
    return _head_count(request, row, now, out=form)


@opens_to(Role.LEAD)
@require_POST
def seen(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Tick somebody seen at the meeting point, or take the tick back."""
    row, now = led(request, pk), clock.now()
    muster = get_object_or_404(row.musters.open())

    def write(person: Volunteer) -> str:
        if UNSEEN in request.POST:
            services.unsee(muster=muster, volunteer=person, by=request.user)
            return _("%s is to be looked for again.") % person
        services.see(muster=muster, volunteer=person, by=request.user, now=now)
        return _("%s is safe.") % person

    _press(request, row, write)
    if request.htmx:
        return _head_count(request, row, now, part="#people")
    return redirect("gatherings:head_count", row.demonstration.slug, row.pk)


@opens_to(Role.LEAD)
@require_POST
def seen_new(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Tick somebody who is on no list."""
    row, now = led(request, pk), clock.now()
    muster = get_object_or_404(row.musters.open())
    form = SeenNewForm(request.POST, adults=selectors.adults_counted(row, now))

    def write() -> None:
        services.see_new(muster=muster, by=request.user, now=now, **form.cleaned_data)

    if carried_out(request, form, write):
        return redirect("gatherings:head_count", row.demonstration.slug, row.pk)
    return _head_count(request, row, now, newcomer=form)


@opens_to(Role.LEAD)
@require_POST
def end_head_count(request: VolunteerRequest, pk: int) -> HttpResponse:
    """End the head-count, with words where somebody has not been seen."""
    row, now = led(request, pk), clock.now()
    muster = get_object_or_404(row.musters.open())
    form = EndForm(request.POST)

    def write() -> None:
        note = form.cleaned_data["note"]
        services.end_head_count(muster=muster, by=request.user, now=now, note=note)

    if carried_out(request, form, write):
        messages.success(request, _("The head-count has ended."))
        return redirect("gatherings:head_count", row.demonstration.slug, row.pk)
    return _head_count(request, row, now, end=form)


def _gate(
    request: VolunteerRequest,
    row: Gathering,
    now: datetime,
    *,
    form: NewcomerForm | None = None,
    child: ChildForm | None = None,
) -> HttpResponse:
    context = {
        "page": selectors.gate_page(row, now),
        "alarm": selectors.alarm_of(row, now),
        "form": form or NewcomerForm(),
        "child": child or ChildForm(adults=selectors.adults_here(row, now)),
    }
    return render(request, "gatherings/gathering_gate.html", context)


def _head_count(
    request: VolunteerRequest,
    row: Gathering,
    now: datetime,
    *,
    out: EverybodyOutForm | None = None,
    newcomer: SeenNewForm | None = None,
    end: EndForm | None = None,
    part: str = "",
) -> HttpResponse:
    adults = selectors.adults_counted(row, now)
    context = {
        "page": selectors.head_count(row, now),
        "out": out or EverybodyOutForm(initial={"key": uuid.uuid4()}),
        "newcomer": newcomer or SeenNewForm(adults=adults),
        "end": end or EndForm(),
        "now": now,
    }
    if request.htmx:
        part = "#people"
    return render(request, f"gatherings/gathering_head_count.html{part}", context)


def _press(
    request: VolunteerRequest, row: Gathering, write: Callable[[Volunteer], str]
) -> None:
    """Do what a button beside a name asks, and say what was done or why not."""
    everybody = Volunteer.objects.of(row.demonstration).active()
    form = PersonForm(request.POST, everybody=everybody)
    if not form.is_valid():
        messages.error(request, str(form.errors["volunteer"][0]))
        return
    _said_or_refused(request, lambda: write(form.cleaned_data["volunteer"]))


def _said_or_refused(request: VolunteerRequest, write: Callable[[], str]) -> None:
    """Do what was pressed, and say what was done or why not."""
    try:
        words = write()
        # With script the list itself shows what was done.
        if not request.htmx:
            messages.success(request, words)
    except ValidationError as error:
        for sentence in error.messages:
            messages.error(request, sentence)


@opens_to(Role.LEAD)
@never_cache
@asks_and_takes
def gate_station(request: VolunteerRequest, pk: int, person_pk: int) -> HttpResponse:
    """Show where somebody may be put, and put them there by one press."""
    row, now = led(request, pk), clock.now()
    everybody = Volunteer.objects.of(row.demonstration).active()
    person = get_object_or_404(everybody.select_related("guardian"), pk=person_pk)
    if request.method == "POST":
        form = GivenStationForm(request.POST, stations=row.stations.in_order())
        try:
            if not form.is_valid():
                raise ValidationError(form.errors["station"].as_data())
            services.put_at(
                gathering=row,
                volunteer=person,
                station=form.cleaned_data["station"],
                by=request.user,
                now=now,
            )
        except ValidationError as error:
            messages.error(request, " ".join(error.messages))
            return redirect(request.path)
        words = _("%(who)s is at %(station)s now.")
        who = {"who": person, "station": form.cleaned_data["station"]}
        messages.success(request, words % who)
        return redirect("gatherings:gate", row.demonstration.slug, row.pk)
    page = selectors.stations_for(row, person, now)
    return render(request, "gatherings/gathering_gate_station.html", {"page": page})
