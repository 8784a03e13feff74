"""The organiser's pages: everybody on the list, and what each one is."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to, row_or_404
from heritage.common.forms import (
    asks_and_takes,
    by_local_clock,
    refusals_shown,
    safe_next,
    typed,
)
from heritage.people import selectors, services
from heritage.people.agreements.selectors import current_words
from heritage.people.forms import ChildForm, JoinForm, MineForm, PersonForm
from heritage.people.letters.selectors import unreached
from heritage.people.models import Subject, Volunteer, my_part
from heritage.people.particulars.forms import KeepingForm
from heritage.people.request import Request, VolunteerRequest

ON_A_PAGE = 15


@opens_to(Role.ORGANISER)
@never_cache
@require_safe
def list_(request: Request) -> HttpResponse:
    """Show everybody, or whom a search finds: contact, age and places to come."""
    demonstration, now = request.standing.demonstration, clock.now()
    wanted = request.GET.get("wanted", "")
    page = selectors.people_page(demonstration, now, wanted)
    context = {
        "page": page,
        "wanted": wanted,
        "people": Paginator(page.people, ON_A_PAGE).get_page(request.GET.get("page")),
        "unreached": unreached(demonstration, now),
    }
    return render(request, "people/volunteer_list.html", context)


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def add(request: Request) -> HttpResponse:
    """Enter somebody on their behalf."""
    here = request.standing.demonstration
    form = PersonForm(
        typed(request),
        instance=Volunteer(demonstration=here),
        today=clock.today(here.time_zone),
    )
    if form.submit(now=clock.now()):
        messages.success(request, _("%s is on the list.") % form.saved)
        return redirect("people:list", here.slug)
    return render(request, "people/volunteer_add.html", {"form": form})


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def edit(request: Request, pk: int) -> HttpResponse:
    """Correct somebody's details, and give or take their role."""
    here, person = request.standing.demonstration, _person(request, pk)
    today = clock.today(here.time_zone)
    form = PersonForm(typed(request), instance=person, today=today)
    if form.submit(now=clock.now()):
        messages.success(request, _("Details of %s saved.") % person)
        return redirect("people:list", here.slug)
    context = {"form": form, "person": _person(request, pk)}
    return render(request, "people/volunteer_edit.html", context)


@opens_to(Role.ORGANISER)
@require_POST
def make_organiser(request: Request, pk: int) -> HttpResponse:
    """Give somebody the organiser's role."""
    person = _person(request, pk)
    with refusals_shown(request):
        services.make_organiser(volunteer=person, now=clock.now())
        messages.success(request, _("%s is an organiser now.") % person)
    return redirect("people:edit", request.standing.demonstration.slug, pk)


@opens_to(Role.ORGANISER)
@require_POST
def stop_organiser(request: Request, pk: int) -> HttpResponse:
    """Take the organiser's role from somebody, at once."""
    person, slug = _person(request, pk), request.standing.demonstration.slug
    with refusals_shown(request):
        services.stop_organiser(volunteer=person)
        messages.success(request, _("%s is not an organiser any more.") % person)
    if person == request.standing.volunteer and not person.is_organiser:
        return redirect("people:me", slug)
    return redirect("people:edit", slug, pk)


@opens_to(Role.ORGANISER)
@require_POST
def take_off(request: Request, pk: int) -> HttpResponse:
    """Take somebody off the list; what they did stays."""
    person = _person(request, pk)
    with refusals_shown(request):
        services.leave(volunteer=person, now=clock.now())
        words = _("%s is off the list. What they did stays on record.")
        messages.success(request, words % person)
    return redirect("people:list", request.standing.demonstration.slug)


@opens_to(Role.ORGANISER)
@require_POST
def bring_back(request: Request, pk: int) -> HttpResponse:
    """Put somebody who left back on the list."""
    person = _person(request, pk)
    with refusals_shown(request):
        services.come_back(volunteer=person)
        messages.success(request, _("%s is back on the list.") % person)
    return redirect("people:list", request.standing.demonstration.slug)


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def keeping(request: VolunteerRequest) -> HttpResponse:
    """Change how people are kept."""
    demonstration = request.standing.demonstration
    form = KeepingForm(typed(request), instance=demonstration)
    if form.submit(by=request.user, now=clock.now()):
        messages.success(request, _("That is how people are kept now."))
        return redirect("people:keeping", demonstration.slug)
    return render(request, "people/keeping.html", {"form": form})


@opens_to(Role.ACCOUNT)
@never_cache
@asks_and_takes
def join(request: VolunteerRequest) -> HttpResponse:
    """Make somebody who is signed in a volunteer here."""
    here, user = request.standing.demonstration, request.user
    onward = safe_next(request, reverse("gatherings:next", args=[here.slug]))
    if request.standing.is_volunteer:
        return redirect(onward)
    words = current_words(here, Subject.NOTICE)
    form = JoinForm(
        typed(request),
        instance=Volunteer(demonstration=here, name=user.name),
        today=clock.today(here.time_zone),
        initial={"notice": words.number},
    )
    if form.submit(by=user, now=clock.now()):
        messages.success(request, _("You have joined. Thank you."))
        return redirect(onward)
    context = {"form": form, "words": words}
    return render(request, "people/volunteer_join.html", context)


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
@by_local_clock
def me(request: VolunteerRequest) -> HttpResponse:
    """Show a volunteer what is held about them and theirs."""
    me = _me(request)
    context = {"page": selectors.my_page(me), "part": my_part(me, clock.now())}
    return render(request, "people/volunteer_me.html", context)


@opens_to(Role.VOLUNTEER)
@never_cache
@asks_and_takes
def edit_me(request: VolunteerRequest) -> HttpResponse:
    """Correct one's own details."""
    here = request.standing.demonstration
    today = clock.today(here.time_zone)
    form = MineForm(typed(request), instance=_me(request), today=today)
    if form.submit(now=clock.now()):
        messages.success(request, _("Your details are changed."))
        return redirect("people:me", here.slug)
    return render(request, "people/volunteer_edit_me.html", {"form": form})


@opens_to(Role.VOLUNTEER)
@never_cache
@asks_and_takes
def add_child(request: VolunteerRequest) -> HttpResponse:
    """Enter a child one answers for."""
    here = request.standing.demonstration
    form = ChildForm(
        typed(request),
        instance=Volunteer(demonstration=here, guardian=_me(request)),
        today=clock.today(here.time_zone),
    )
    if form.submit(now=clock.now()):
        messages.success(request, _("%s is entered.") % form.saved)
        return redirect("people:me", here.slug)
    return render(request, "people/child_form.html", {"form": form})


@opens_to(Role.VOLUNTEER)
@never_cache
@asks_and_takes
def edit_child(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Correct a child one answers for."""
    here = request.standing.demonstration
    child = get_object_or_404(_me(request).children.active(), pk=pk)
    today = clock.today(here.time_zone)
    form = ChildForm(typed(request), instance=child, today=today)
    if form.submit(now=clock.now()):
        messages.success(request, _("Details of %s saved.") % child)
        return redirect("people:me", here.slug)
    return render(request, "people/child_form.html", {"form": form, "child": child})


@opens_to(Role.VOLUNTEER)
@require_POST
def renew_calendar(request: VolunteerRequest) -> HttpResponse:
    """Give one's private calendar a new address."""
    words = _("Your calendar has a new address. The old one does not work any more.")
    with refusals_shown(request):
        services.renew_calendar_key(volunteer=_me(request))
        messages.success(request, words)
    return redirect("people:me", request.standing.demonstration.slug)


@opens_to(Role.VOLUNTEER)
@require_POST
def leave_me(request: VolunteerRequest) -> HttpResponse:
    """Leave the demonstration, or take a child one answers for off its list."""
    mine, demonstration = _me(request), request.standing.demonstration
    household = Volunteer.objects.active().answered_for_by(mine)
    who = request.POST.get("who", "")
    person = get_object_or_404(household, pk=int(who) if who.isdecimal() else mine.pk)
    with refusals_shown(request):
        services.leave(volunteer=person, now=clock.now())
        words = _("%s has left. What was done stays on record.")
        messages.success(request, words % person)
    if person == mine and person.left_at:
        return redirect(demonstration)
    return redirect("people:me", demonstration.slug)


def _person(request: Request, pk: int) -> Volunteer:
    rows = Volunteer.objects.managed_by(request.user).select_related("demonstration")
    return row_or_404(rows, request, pk)


def _me(request: VolunteerRequest) -> Volunteer:
    if request.standing.volunteer is None:
        # A keeper of the site who has not joined has no page of their own.
        raise Http404(_("You haven't joined this demonstration yet."))
    return request.standing.volunteer
