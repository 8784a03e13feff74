"""The organiser's pages: everybody on the list, and what each one is."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.doors import (
    asks_and_takes,
    carried_out,
    done_or_said,
    typed,
)
from heritage.people import selectors, services
from heritage.people.forms import PersonForm
from heritage.people.models import Volunteer
from heritage.people.request import Request


@opens_to(Role.ORGANISER)
@never_cache
@require_safe
def list_(request: Request) -> HttpResponse:
    """Show everybody: contact, age, places to come, account and role."""
    demonstration, now = request.standing.demonstration, clock.now()
    page = selectors.people_page(demonstration, now)
    unreached = selectors.unreached(demonstration, now)
    context = {"page": page, "unreached": unreached}
    return render(request, "people/volunteer_list.html", context)


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def add(request: Request) -> HttpResponse:
    """Enter somebody on their behalf."""
    demonstration = request.standing.demonstration
    now = clock.now()
    today = now.astimezone(demonstration.zone).date()
    form = PersonForm(typed(request), demonstration=demonstration, today=today)

    def write() -> object:
        return services.add_volunteer(
            demonstration=demonstration, now=now, **form.said()
        )

    if carried_out(request, form, write):
        messages.success(request, _("%s is on the list.") % form.cleaned_data["name"])
        return redirect("people:list", demonstration.slug)
    return render(request, "people/volunteer_add.html", {"form": form})


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def edit(request: Request, pk: int) -> HttpResponse:
    """Correct somebody's details, and give or take their role."""
    demonstration, person = request.standing.demonstration, _person(request, pk)
    fields = ("name", "email", "phone", "age_band", "guardian")
    form = PersonForm(
        typed(request),
        demonstration=demonstration,
        today=clock.today(demonstration.time_zone),
        person=person,
        initial={field: getattr(person, field) for field in fields},
    )

    def write() -> object:
        return services.edit_volunteer(volunteer=person, now=clock.now(), **form.said())

    if carried_out(request, form, write):
        messages.success(request, _("%s is put right.") % person)
        return redirect("people:list", demonstration.slug)
    shown = _person(request, pk)
    return render(
        request, "people/volunteer_edit.html", {"form": form, "person": shown}
    )


@opens_to(Role.ORGANISER)
@require_POST
def make_organiser(request: Request, pk: int) -> HttpResponse:
    """Give somebody the organiser's role."""
    person = _person(request, pk)
    done_or_said(
        request,
        lambda: services.make_organiser(volunteer=person, now=clock.now()),
        _("%s is an organiser now.") % person,
    )
    return redirect("people:edit", request.standing.demonstration.slug, pk)


@opens_to(Role.ORGANISER)
@require_POST
def stop_organiser(request: Request, pk: int) -> HttpResponse:
    """Take the organiser's role from somebody, at once."""
    person, slug = _person(request, pk), request.standing.demonstration.slug
    done_or_said(
        request,
        lambda: services.stop_organiser(volunteer=person),
        _("%s is not an organiser any more.") % person,
    )
    if person == request.standing.volunteer and not person.is_organiser:
        return redirect("people:me", slug)
    return redirect("people:edit", slug, pk)


@opens_to(Role.ORGANISER)
@require_POST
def take_off(request: Request, pk: int) -> HttpResponse:
    """Take somebody off the list; what they did stays."""
    person = _person(request, pk)
    done_or_said(
        request,
        lambda: services.leave(volunteer=person, now=clock.now()),
        _("%s is off the list. What they did stays on record.") % person,
    )
    return redirect("people:list", request.standing.demonstration.slug)


@opens_to(Role.ORGANISER)
@require_POST
def bring_back(request: Request, pk: int) -> HttpResponse:
    """Put somebody who left back on the list."""
    person = _person(request, pk)
    done_or_said(
        request,
        lambda: services.come_back(volunteer=person),
        _("%s is back on the list.") % person,
    )
    return redirect("people:list", request.standing.demonstration.slug)


def _person(request: Request, pk: int) -> Volunteer:
    managed = Volunteer.objects.managed_by(request.user)
    rows = managed.of(request.standing.demonstration).select_related("demonstration")
    return get_object_or_404(rows, pk=pk)
