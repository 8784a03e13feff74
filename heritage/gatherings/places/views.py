"""The buttons of a gathering's page: sign up, answer, give up, move."""

from collections.abc import Sequence

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.forms import asks_and_takes, refusals_shown, typed
from heritage.gatherings.ground.forms import ButtonForm
from heritage.gatherings.models import Gathering, SignUp, SignUpStatus
from heritage.gatherings.places import services
from heritage.gatherings.places.forms import (
    AnswerForm,
    ComeForm,
    GiveUpForm,
    MoveForm,
    PlaceForm,
    SomebodyForm,
    WishForm,
)
from heritage.gatherings.places.selectors import ComePage, come_page, newcomer_of
from heritage.gatherings.selectors import gathering_page
from heritage.gatherings.views import led, seen
from heritage.people.agreements.selectors import current_words
from heritage.people.forms import ChildForm, JoinForm
from heritage.people.models import AgeBand, Subject, Volunteer
from heritage.people.request import Request, VolunteerRequest


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


@opens_to(Role.LEAD)
@never_cache
@asks_and_takes
def somebody(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Sign somebody up whom the lead has asked."""
    gathering = led(request, pk)
    form = SomebodyForm(typed(request), gathering=gathering)
    if form.submit(by=request.user, now=clock.now()):
        messages.success(request, _outcome(form.saved))
        return redirect(gathering)
    context = {"form": form, "gathering": gathering}
    return render(request, "gatherings/gathering_somebody.html", context)


@opens_to(Role.VOLUNTEER)
@require_POST
def answer(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Say whether somebody who moved up comes, or gives it to the next."""
    gathering = seen(request, pk)
    form = AnswerForm(request.POST, gathering=gathering)
    with refusals_shown(request):
        entry = _pressed(request, form)
        if entry is None:
            return _ask_if_sure(request, form.cleaned_data["sign_up"])
        messages.success(request, _answered(entry, form.cleaned_data["comes"]))
    return redirect(gathering)


@opens_to(Role.VOLUNTEER)
@require_POST
def give_up(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Give a place or a turn up, once somebody has said that they are sure."""
    gathering = seen(request, pk)
    form = GiveUpForm(request.POST, gathering=gathering)
    with refusals_shown(request):
        if "sure" not in request.POST and form.is_valid():
            return _ask_if_sure(request, form.cleaned_data["sign_up"])
        entry = _pressed(request, form)
        if entry is None:
            return _ask_if_sure(request, form.cleaned_data["sign_up"])
        messages.success(request, _given_up(form.gone, request.standing.volunteer))
        if gathering.is_posted:
            slug = gathering.demonstration.slug
            return redirect("gatherings:gave_up", slug, pk, entry.pk)
    return redirect(gathering)


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
def gave_up(request: VolunteerRequest, pk: int, place_pk: int) -> HttpResponse:
    """Say that a place is given up, and offer to undo it for some minutes."""
    gathering, now = seen(request, pk), clock.now()
    entry = _mine(request, gathering, place_pk)
    until = entry.changed_at + services.UNDO_WITHIN
    gone = entry.status == SignUpStatus.GIVEN_UP
    can_undo = gone and now <= until and now < gathering.starts_at
    context = {"gathering": gathering, "entry": entry, "until": until}
    context |= {"can_undo": can_undo}
    return render(request, "gatherings/gathering_gave_up.html", context)


@opens_to(Role.VOLUNTEER)
@require_POST
def take_back(request: VolunteerRequest, pk: int, place_pk: int) -> HttpResponse:
    """Undo giving a place up; it may be a turn by now."""
    gathering = seen(request, pk)
    entry = _mine(request, gathering, place_pk)
    with refusals_shown(request):
        back = services.take_back(sign_up=entry, by=request.user, now=clock.now())
        for one in back:
            messages.success(request, _outcome(one))
    return redirect(gathering)


def _mine(request: VolunteerRequest, gathering: Gathering, pk: int) -> SignUp:
    """Return a sign-up of the reader's household, or of one they lead, or 404."""
    rows = gathering.sign_ups.select_related("volunteer", "station")
    if not Gathering.objects.led_by(request.user).contains(gathering):
        reader = request.standing.volunteer
        rows = rows.answered_for_by(reader) if reader else rows.none()
    return get_object_or_404(rows, pk=pk)


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


def _ask_if_sure(request: VolunteerRequest, entry: SignUp) -> HttpResponse:
    """Ask once, naming the children who come only with somebody."""
    gathering = entry.gathering
    children = gathering.sign_ups.live().only_with(entry.volunteer)
    context = {
        "gathering": gathering,
        "entry": entry,
        "children": children,
        "minutes": services.UNDO_WITHIN.seconds // 60,
    }
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


@opens_to(Role.ACCOUNT)
@never_cache
@asks_and_takes
def come(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Join, read the briefing and take a place, for oneself and one's children."""
    gathering, now = seen(request, pk), clock.now()
    reader = request.standing.volunteer
    page = gathering_page(gathering, now=now, volunteer=reader)
    mine = page.mine or [
        newcomer_of(
            gathering.demonstration, request.user.name, gathering, page.stations
        )
    ]
    coming = come_page(mine, request.GET.get("briefing", ""))
    form = _come_form(request, gathering, coming)
    if page.is_open and form.submit(by=request.user, now=now):
        _say(request, form.saved)
        return redirect(gathering)
    words = current_words(gathering.demonstration, Subject.NOTICE)
    context = {"page": page, "coming": coming, "form": form, "words": words}
    return render(request, "gatherings/gathering_come.html", context)


def _come_form(
    request: VolunteerRequest, gathering: Gathering, page: ComePage
) -> ComeForm:
    """Return the page's form: with the joining of somebody new, and a child's."""
    here, reader = gathering.demonstration, request.standing.volunteer
    data, today = typed(request), clock.today(here.time_zone)
    joining = child = None
    if reader is None:
        words = current_words(here, Subject.NOTICE)
        me = Volunteer(demonstration=here, name=request.user.name)
        joining = JoinForm(
            data, instance=me, today=today, initial={"notice": words.number}
        )
    if reader is None or reader.age_band == AgeBand.ADULT:
        new = Volunteer(demonstration=here, guardian=reader)
        named = data if data and data.get("child-name", "").strip() else None
        child = ChildForm(named, prefix="child", instance=new, today=today)
    return ComeForm(data, gathering=gathering, page=page, joining=joining, child=child)


@opens_to(Role.VISITOR)
@never_cache
@require_safe
def next_(request: Request) -> HttpResponse:
    """Lead to the next evening that places can be taken at, or to the list."""
    here = request.standing.demonstration
    rows = Gathering.objects.visible_to(request.user).of(here).published()
    row = rows.going_ahead().starting_after(clock.now()).first()
    return redirect(row or reverse("gatherings:list", args=[here.slug]))


@opens_to(Role.VOLUNTEER)
@require_POST
def wishes(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Say where else somebody would work."""
    gathering = seen(request, pk)
    form = WishForm(request.POST, gathering=gathering)
    with refusals_shown(request):
        entry = form.press(by=request.user, now=clock.now())
        words = _("Saved. The lead sees where else %s would work.")
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
