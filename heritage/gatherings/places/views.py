"""The buttons of a gathering's page: sign up, answer, give up, move."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.doors import asks_and_takes, carried_out, done_or_said, typed
from heritage.gatherings import selectors as gatherings_selectors
from heritage.gatherings.ground.views import led, seen
from heritage.gatherings.models import SignUp, SignUpStatus
from heritage.gatherings.places import services
from heritage.gatherings.places.forms import (
    AnswerForm,
    GiveUpForm,
    HouseholdForm,
    PlaceForm,
    SignUpForm,
    WishForm,
)
from heritage.people.models import Volunteer
from heritage.people.request import VolunteerRequest


@opens_to(Role.VOLUNTEER)
@require_POST
def sign_up(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Ask for a place for oneself, or for somebody one answers for."""
    gathering = seen(request, pk)
    form = PlaceForm(request.POST, gathering=gathering)
    if data := _read(request, form):
        try:
            entry = services.sign_up(
                station=data["station"],
                volunteer=data["volunteer"],
                by=request.user,
                now=clock.now(),
            )
        except ValidationError as error:
            messages.error(request, " ".join(error.messages))
        else:
            messages.success(request, _outcome(entry))
    return redirect(gathering)


@opens_to(Role.VOLUNTEER)
@require_POST
def answer(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Say whether somebody who moved up comes, or gives it to the next."""
    gathering = seen(request, pk)
    form = AnswerForm(request.POST, gathering=gathering)
    if data := _read(request, form):
        try:
            services.answer(
                sign_up=data["sign_up"],
                comes=data["comes"],
                by=request.user,
                now=clock.now(),
            )
        except ValidationError as error:
            if error.code == "children":
                return _ask_of_children(request, data["sign_up"])
            messages.error(request, " ".join(error.messages))
        else:
            messages.success(request, _answered(data["sign_up"], data["comes"]))
    return redirect(gathering)


@opens_to(Role.VOLUNTEER)
@require_POST
def give_up(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Give a place or a turn back; asks what becomes of the children's."""
    gathering = seen(request, pk)
    form = GiveUpForm(request.POST, gathering=gathering)
    if data := _read(request, form):
        entry = data["sign_up"]
        beside = gathering.sign_ups.live().only_with(entry.volunteer)
        children = [one.volunteer for one in beside]
        try:
            services.give_up(
                sign_up=entry,
                children=data["children"],
                by=request.user,
                now=clock.now(),
            )
        except ValidationError as error:
            if error.code == "children":
                return _ask_of_children(request, entry)
            messages.error(request, " ".join(error.messages))
        else:
            gone = [entry.volunteer, *children]
            messages.success(request, _given_up(gone, request.standing.volunteer))
    return redirect(gathering)


@opens_to(Role.LEAD)
@require_POST
def move(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Move somebody to another station."""
    gathering = led(request, pk)
    form = SignUpForm(request.POST, gathering=gathering)
    form.fields["station"].required = True
    if data := _read(request, form):
        try:
            services.move(by=request.user, now=clock.now(), **data)
        except ValidationError as error:
            messages.error(request, " ".join(error.messages))
        else:
            words = _("%(who)s is at %(station)s now.")
            who = {"who": data["sign_up"].volunteer, "station": data["station"]}
            messages.success(request, words % who)
    return redirect(gathering)


def _ask_of_children(request: VolunteerRequest, entry: SignUp) -> HttpResponse:
    """Ask whether the children who come only with somebody give theirs up too."""
    gathering = entry.gathering
    children = gathering.sign_ups.live().only_with(entry.volunteer)
    context = {"gathering": gathering, "entry": entry, "children": children}
    return render(request, "gatherings/gathering_give_up.html", context)


def _read(request: VolunteerRequest, form: forms.Form) -> dict[str, Any] | None:
    if form.is_valid():
        return form.cleaned_data
    messages.error(request, _("The page was out of date. Choose again, please."))
    return None


def _outcome(entry: SignUp) -> str:
    who = {"who": entry.volunteer, "station": entry.station}
    if entry.status == SignUpStatus.HELD:
        return _("%(who)s has a place at %(station)s.") % who
    return _("%(station)s is full. %(who)s is on the waiting list.") % who


def _given_up(people: Sequence[Volunteer], reader: Volunteer | None) -> str:
    """Say whose places are given up, to whoever gave them up."""
    names = ", ".join(str(one) for one in people if one != reader)
    if reader not in people:
        return _("No longer coming: %s.") % names
    if not names:
        return _("You have given up your place.")
    return _("You have given up your place. No longer coming either: %s.") % names


def _answered(entry: SignUp, comes: bool) -> str:
    who = {"who": entry.volunteer, "station": entry.station}
    if comes:
        return _("Good: %(who)s comes, and the place at %(station)s is kept.") % who
    return _("%(who)s does not come. The place goes to the next.") % who


@opens_to(Role.VOLUNTEER)
@never_cache
@asks_and_takes
def household(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Sign oneself and one's children up together, each with their own verdict."""
    gathering, now = seen(request, pk), clock.now()
    page = gatherings_selectors.gathering_page(
        gathering, now=now, volunteer=request.standing.volunteer
    )
    free = [one for one in page.mine if one.place is None]
    form = HouseholdForm(typed(request), gathering=gathering, people=free)

    def write() -> None:
        verdicts = services.sign_up_together(
            gathering=gathering,
            asks=form.asks(),
            by=request.user,
            now=now,
            only_together=form.cleaned_data.get("only_together", False),
        )
        _say(request, verdicts)

    if carried_out(request, form, write):
        return redirect(gathering)
    context = {"page": page, "form": form, "free": free}
    return render(request, "gatherings/gathering_household.html", context)


@opens_to(Role.VOLUNTEER)
@require_POST
def wishes(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Say where else somebody would work."""
    gathering = seen(request, pk)
    form = WishForm(request.POST, gathering=gathering)
    if form.is_valid():
        data = form.cleaned_data
        done_or_said(
            request,
            lambda: services.wish(**data, by=request.user, now=clock.now()),
            _("Written down: the lead sees where %s would work too.")
            % data["sign_up"].volunteer,
        )
    else:
        messages.error(request, _("The page was out of date. Choose again, please."))
    return redirect(gathering)


def _say(request: VolunteerRequest, verdicts: Sequence[services.Verdict]) -> None:
    """Say of each person what became of it."""
    for one in verdicts:
        who = {"who": one.ask.volunteer, "station": one.ask.station}
        if one.sign_up is None:
            words = _("%s has not been signed up.") % one.ask.volunteer
            messages.error(request, f"{words} {one.refusal}")
        elif one.sign_up.status == SignUpStatus.HELD:
            messages.success(request, _("%(who)s has a place at %(station)s.") % who)
        else:
            words = _("%(station)s is full. %(who)s is on the waiting list.")
            messages.warning(request, words % who)
