"""The organiser's pages: everybody on the list, and what each one is."""

from datetime import datetime
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.doors import (
    asks_and_takes,
    carried_out,
    done_or_said,
    safe_next,
    typed,
)
from heritage.people import selectors, services
from heritage.people.agreements import selectors as agreements_selectors
from heritage.people.forms import ChildForm, JoinForm, MineForm, PersonForm
from heritage.people.letters import selectors as letters_selectors
from heritage.people.models import Subject, Volunteer
from heritage.people.request import Request, VolunteerRequest
from heritage.season.models import Demonstration


@opens_to(Role.ORGANISER)
@never_cache
@require_safe
def list_(request: Request) -> HttpResponse:
    """Show everybody: contact, age, places to come, account and role."""
    demonstration, now = request.standing.demonstration, clock.now()
    page = selectors.people_page(demonstration, now)
    unreached = letters_selectors.unreached(demonstration, now)
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


@opens_to(Role.ACCOUNT)
@never_cache
@asks_and_takes
def join(request: VolunteerRequest) -> HttpResponse:
    """Make whoever is signed in a volunteer here."""
    demonstration, user = request.standing.demonstration, request.user
    onward = safe_next(request, reverse("gatherings:list", args=[demonstration.slug]))
    if request.standing.is_volunteer:
        return redirect(onward)
    now = clock.now()
    words = agreements_selectors.current_words(demonstration, Subject.NOTICE)
    initial = {"name": user.name, "notice": words.number}
    form = JoinForm(typed(request), initial=initial, **_here(demonstration, now))

    def write() -> object:
        return services.join(
            demonstration=demonstration, user=user, now=now, **form.said()
        )

    if carried_out(request, form, write):
        messages.success(request, _("You have joined. Thank you."))
        return redirect(onward)
    context = {"form": form, "words": words}
    return render(request, "people/volunteer_join.html", context)


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
def me(request: VolunteerRequest) -> HttpResponse:
    """Show a volunteer what is held about them and theirs."""
    page = selectors.my_page(_me(request))
    return render(request, "people/volunteer_me.html", {"page": page})


@opens_to(Role.VOLUNTEER)
@never_cache
@asks_and_takes
def edit_me(request: VolunteerRequest) -> HttpResponse:
    """Correct one's own details."""
    mine = _me(request)
    initial = {field: getattr(mine, field) for field in ("name", "email", "phone")}
    here = _here(request.standing.demonstration, clock.now())
    form = MineForm(typed(request), initial=initial, person=mine, **here)

    def write() -> object:
        return services.edit_volunteer(
            volunteer=mine,
            now=clock.now(),
            age_band=mine.age_band,
            guardian=mine.guardian,
            **form.said(),
        )

    if carried_out(request, form, write):
        messages.success(request, _("Your details are put right."))
        return redirect("people:me", request.standing.demonstration.slug)
    return render(request, "people/volunteer_edit_me.html", {"form": form})


@opens_to(Role.VOLUNTEER)
@never_cache
@asks_and_takes
def add_child(request: VolunteerRequest) -> HttpResponse:
    """Enter a child one answers for."""
    mine, now = _me(request), clock.now()
    form = ChildForm(typed(request), **_here(request.standing.demonstration, now))

    def write() -> object:
        return services.add_child(guardian=mine, now=now, **form.said())

    if carried_out(request, form, write):
        messages.success(request, _("%s is entered.") % form.cleaned_data["name"])
        return redirect("people:me", request.standing.demonstration.slug)
    return render(request, "people/child_form.html", {"form": form})


@opens_to(Role.VOLUNTEER)
@never_cache
@asks_and_takes
def edit_child(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Correct a child one answers for."""
    mine = _me(request)
    child = get_object_or_404(mine.children.active(), pk=pk)
    initial = {"name": child.name, "age_band": child.age_band}
    here = _here(request.standing.demonstration, clock.now())
    form = ChildForm(typed(request), initial=initial, person=child, **here)

    def write() -> object:
        return services.edit_volunteer(
            volunteer=child,
            now=clock.now(),
            email=child.email,
            phone=child.phone,
            guardian=mine,
            **form.said(),
        )

    if carried_out(request, form, write):
        messages.success(request, _("%s is put right.") % child)
        return redirect("people:me", request.standing.demonstration.slug)
    return render(request, "people/child_form.html", {"form": form, "child": child})


@opens_to(Role.VOLUNTEER)
@require_POST
def renew_calendar(request: VolunteerRequest) -> HttpResponse:
    """Give one's private calendar a new address."""
    done_or_said(
        request,
        lambda: services.renew_calendar_key(volunteer=_me(request)),
        _("Your calendar has a new address. The old one does not work any more."),
    )
    return redirect("people:me", request.standing.demonstration.slug)


@opens_to(Role.VOLUNTEER)
@require_POST
def leave_me(request: VolunteerRequest) -> HttpResponse:
    """Leave the demonstration, or take a child one answers for off its list."""
    mine, demonstration = _me(request), request.standing.demonstration
    household = Volunteer.objects.active().answered_for_by(mine)
    who = request.POST.get("who", "")
    person = get_object_or_404(household, pk=int(who) if who.isdecimal() else mine.pk)
    done_or_said(
        request,
        lambda: services.leave(volunteer=person, now=clock.now()),
        _("%s has left. What was done stays on record.") % person,
    )
    if person == mine and person.left_at:
        return redirect(demonstration)
    return redirect("people:me", demonstration.slug)


def _here(demonstration: Demonstration, now: datetime) -> dict[str, Any]:
    """Say where a form about a person is filled in, and on which day."""
    today = now.astimezone(demonstration.zone).date()
    return {"demonstration": demonstration, "today": today}


def _me(request: VolunteerRequest) -> Volunteer:
    if request.standing.volunteer is None:
        # A keeper of the site who has not joined has no page of their own.
        raise Http404(_("You have not joined this demonstration."))
    return request.standing.volunteer
