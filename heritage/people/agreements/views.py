"""One person: what they can do, their note, what they agreed to.

Open to themselves, to the adult who answers for them, and to the organisers.
"""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to, row_or_404
from heritage.common.forms import asks_and_takes, refusals_shown, typed
from heritage.people.agreements import selectors, services
from heritage.people.agreements.forms import AgreeForm, NoteForm, WordingForm
from heritage.people.agreements.selectors import AboutPage
from heritage.people.competences.services import say_able, take_back_able
from heritage.people.models import Volunteer, Wording
from heritage.people.request import VolunteerRequest


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
def about(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show what is held of somebody beside their contact."""
    page = _page(request, _person(request, pk))
    return render(request, "people/about.html", {"page": page})


@opens_to(Role.VOLUNTEER)
@require_POST
def can_do(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Say that one, or one's child, can do something; or take that back."""
    person, which = _person(request, pk), request.POST.get("competence", "")
    competence = get_object_or_404(
        person.demonstration.competences.all(),
        pk=int(which) if which.isdecimal() else 0,
    )
    skill: dict[str, Any] = {
        "volunteer": person,
        "competence": competence,
        "by": request.user,
    }
    with refusals_shown(request):
        if "take_back" in request.POST:
            take_back_able(**skill)
            messages.success(request, _("Removed."))
        else:
            say_able(now=clock.now(), **skill)
            messages.success(request, _("Thank you. An organiser has to confirm it."))
    return _back(request, pk)


@opens_to(Role.VOLUNTEER)
@never_cache
@asks_and_takes
def note(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Write or change a note on health and access."""
    page = _page(request, _person(request, pk))
    form = NoteForm(typed(request), page=page)
    if form.submit(by=request.user, now=clock.now()):
        messages.success(request, _("Note saved."))
        return _back(request, pk)
    return render(request, "people/health_note.html", {"form": form, "page": page})


@opens_to(Role.VOLUNTEER)
@require_POST
def take_back_note(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Delete a note at once."""
    person, now = _person(request, pk), clock.now()
    with refusals_shown(request):
        services.take_back_health_note(volunteer=person, by=request.user, now=now)
        messages.success(request, _("Note deleted."))
    return _back(request, pk)


@opens_to(Role.VOLUNTEER)
@never_cache
@asks_and_takes
def photographs(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Read the words on photographs and agree; or enter what was signed on paper."""
    page = _page(request, _person(request, pk))
    form = AgreeForm(typed(request), page=page, words=page.photograph.words)
    if form.submit(by=request.user, now=clock.now()):
        messages.success(request, _("Saved."))
        return _back(request, pk)
    return render(request, "people/photographs.html", {"form": form, "page": page})


@opens_to(Role.VOLUNTEER)
@require_POST
def notice(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Say that one has read what is held, and why."""
    person, number = _person(request, pk), request.POST.get("number", "")
    with refusals_shown(request):
        services.note_notice_read(
            volunteer=person,
            number=int(number) if number.isdecimal() else 0,
            by=request.user,
            now=clock.now(),
        )
        messages.success(request, _("Thank you for reading it."))
    return _back(request, pk)


@opens_to(Role.ORGANISER)
@require_safe
def list_(request: VolunteerRequest) -> HttpResponse:
    """Show the words that hold on each subject."""
    words = selectors.all_words(request.standing.demonstration)
    return render(request, "people/wording_list.html", {"all": words.values()})


@opens_to(Role.ORGANISER)
@asks_and_takes
def publish(request: VolunteerRequest, subject: str) -> HttpResponse:
    """Publish new words on a subject."""
    here = request.standing.demonstration
    words = selectors.current_words(here, subject)
    wording = Wording(demonstration=here, subject=subject, text=words.text)
    form = WordingForm(typed(request), instance=wording)
    if form.submit(by=request.user, now=clock.now()):
        messages.success(request, _("New wording saved."))
        return redirect("people:words", here.slug)
    context = {"form": form, "words": words}
    return render(request, "people/wording_publish.html", context)


def _person(request: VolunteerRequest, pk: int) -> Volunteer:
    rows = Volunteer.objects.open_to(request.user)
    return row_or_404(rows.select_related("demonstration", "guardian"), request, pk)


def _page(request: VolunteerRequest, person: Volunteer) -> AboutPage:
    return selectors.about_page(
        person,
        reader=request.standing.volunteer,
        is_organiser=request.standing.is_organiser,
        now=clock.now(),
    )


def _back(request: VolunteerRequest, pk: int) -> HttpResponse:
    return redirect("people:about", request.standing.demonstration.slug, pk)
