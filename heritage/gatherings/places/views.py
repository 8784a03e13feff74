"""The buttons of a gathering's page: sign up, answer, give up, move."""

from collections.abc import Sequence

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.forms import asks_and_takes, refusals_shown, typed
from heritage.gatherings.ground.forms import ButtonForm
from heritage.gatherings.models import SignUp, SignUpStatus
from heritage.gatherings.places import services
from heritage.gatherings.places.forms import (
    AnswerForm,
    GiveUpForm,
    HouseholdForm,
    MoveForm,
    PlaceForm,
    WishForm,
)
from heritage.gatherings.selectors import gathering_page
from heritage.gatherings.views import led, seen
from heritage.people.models import Volunteer
from heritage.people.request import VolunteerRequest


@opens_to(Role.VOLUNTEER)
@require_POST
def sign_up(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Ask for a place for oneself, or for somebody one answers for."""
    gathering = seen(request, pk)
    form = PlaceForm(request.POST, gathering=gathering)
    with refusals_shown(request):
        entry = form.press(by=request.user, now=clock.now())
        messages.success(request, _outcome(entry))
    return redirect(gathering)


@opens_to(Role.VOLUNTEER)
@require_POST
def answer(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Say whether somebody who moved up comes, or gives it to the next."""
    gathering = seen(request, pk)
    form = AnswerForm(request.POST, gathering=gathering)
    with refusals_shown(request):
        entry = _pressed(request, form)
        if entry is None:
            return _ask_of_children(request, form.cleaned_data["sign_up"])
        messages.success(request, _answered(entry, form.cleaned_data["comes"]))
    return redirect(gathering)


@opens_to(Role.VOLUNTEER)
@require_POST
def give_up(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Give a place or a turn back; asks what becomes of the children's."""
    gathering = seen(request, pk)
    form = GiveUpForm(request.POST, gathering=gathering)
    with refusals_shown(request):
        entry = _pressed(request, form)
        if entry is None:
            return _ask_of_children(request, form.cleaned_data["sign_up"])
        messages.success(request, _given_up(form.gone, request.standing.volunteer))
    return redirect(gathering)


@opens_to(Role.LEAD)
@require_POST
def move(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Move somebody to another station."""
    gathering = led(request, pk)
    form = MoveForm(request.POST, gathering=gathering)
    with refusals_shown(request):
        entry = form.press(by=request.user, now=clock.now())
        words = _("%(who)s is at %(station)s now.")
        who = {"who": entry.volunteer, "station": form.cleaned_data["station"]}
        messages.success(request, words % who)
    return redirect(gathering)


def _pressed(request: VolunteerRequest, form: ButtonForm) -> SignUp | None:
    """Do what was pressed; None where the children's places are to be asked about."""
    try:
        entry: SignUp = form.press(by=request.user, now=clock.now())
    except ValidationError as error:
        if getattr(error, "code", "") == "children":
            return None
        raise
    return entry


def _ask_of_children(request: VolunteerRequest, entry: SignUp) -> HttpResponse:
    """Ask whether the children who come only with somebody give theirs up too."""
    gathering = entry.gathering
    children = gathering.sign_ups.live().only_with(entry.volunteer)
    context = {"gathering": gathering, "entry": entry, "children": children}
    return render(request, "gatherings/gathering_give_up.html", context)


def _outcome(entry: SignUp) -> str:
    who = {"who": entry.volunteer, "station": entry.station}
    if entry.status == SignUpStatus.HELD:
        return _("%(who)s has a place at %(station)s.") % who
    return _("%(station)s is full. %(who)s is on the waiting list.") % who


def _given_up(people: Sequence[Volunteer], reader: Volunteer | None) -> str:
    """Say whose places are given up, to the person who gave them up."""
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
    reader = request.standing.volunteer
    page = gathering_page(gathering, now=now, volunteer=reader)
    free = [one for one in page.mine if one.place is None]
    form = HouseholdForm(typed(request), gathering=gathering, people=free)
    if form.submit(by=request.user, now=now):
        _say(request, form.saved)
        return redirect(gathering)
    context = {"page": page, "form": form, "free": free}
    return render(request, "gatherings/gathering_household.html", context)


@opens_to(Role.VOLUNTEER)
@require_POST
def wishes(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Say where else somebody would work."""
    gathering = seen(request, pk)
    form = WishForm(request.POST, gathering=gathering)
    with refusals_shown(request):
        entry = form.press(by=request.user, now=clock.now())
        words = _("Written down: the lead sees where %s would work too.")
        messages.success(request, words % entry.volunteer)
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
