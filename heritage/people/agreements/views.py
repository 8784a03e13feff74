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
from heritage.common.access import Role, opens_to
from heritage.common.doors import asks_and_takes, carried_out, done_or_said, typed
from heritage.people.agreements import selectors, services
from heritage.people.agreements.forms import AgreeForm, NoteForm, WordingForm
from heritage.people.agreements.selectors import AboutPage
from heritage.people.competences import services as competences_services
from heritage.people.models import Subject, Volunteer
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
    rows = person.demonstration.competences.all()
    about: dict[str, Any] = {
        "volunteer": person,
        "competence": get_object_or_404(
            rows, pk=int(which) if which.isdecimal() else 0
        ),
        "by": request.user,
    }
    if "take_back" in request.POST:
        done_or_said(
            request,
            lambda: competences_services.take_back_able(**about),
            _("It is taken back."),
        )
    else:
        done_or_said(
            request,
            lambda: competences_services.say_able(now=clock.now(), **about),
            _("It is noted. An organiser confirms it."),
        )
    return _back(request, pk)


@opens_to(Role.VOLUNTEER)
@never_cache
@asks_and_takes
def note(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Write or change a note on health and access."""
    person = _person(request, pk)
    page = _page(request, person)
    agree = (
        _("I agree that this note is kept.")
        if page.is_answering
        else _("They have signed these words on paper.")
    )
    form = NoteForm(
        typed(request),
        words=page.health.words,
        agree=agree,
        initial={"text": page.note.text if page.note else ""},
    )

    def write() -> object:
        return services.keep_health_note(
            volunteer=person,
            text=form.cleaned_data["text"],
            number=form.cleaned_data["number"],
            by=request.user,
            now=clock.now(),
        )

    if carried_out(request, form, write):
        messages.success(request, _("The note is kept."))
        return _back(request, pk)
    form.ask_again(page.health.words)
    return render(request, "people/health_note.html", {"form": form, "page": page})


@opens_to(Role.VOLUNTEER)
@require_POST
def take_back_note(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Delete a note at once."""
    person = _person(request, pk)
    done_or_said(
        request,
        lambda: services.take_back_health_note(
            volunteer=person, by=request.user, now=clock.now()
        ),
        _("The note is deleted."),
    )
    return _back(request, pk)


@opens_to(Role.VOLUNTEER)
@never_cache
@asks_and_takes
def photographs(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Read the words on photographs and agree; or enter what was signed on paper."""
    person = _person(request, pk)
    page = _page(request, person)
    own = page.is_answering
    agree = (
        _("I agree to this.") if own else _("They have signed these words on paper.")
    )
    form = AgreeForm(typed(request), words=page.photograph.words, agree=agree)

    def write() -> object:
        service = services.agree if own else services.agree_on_paper
        return service(
            volunteer=person,
            subject=Subject.PHOTOGRAPH,
            number=form.cleaned_data["number"],
            by=request.user,
            now=clock.now(),
        )

    if carried_out(request, form, write):
        messages.success(request, _("The agreement is written down."))
        return _back(request, pk)
    form.ask_again(page.photograph.words)
    return render(request, "people/photographs.html", {"form": form, "page": page})


@opens_to(Role.VOLUNTEER)
@require_POST
def notice(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Say that one has read what is held, and why."""
    person, number = _person(request, pk), request.POST.get("number", "")
    done_or_said(
        request,
        lambda: services.note_notice_read(
            volunteer=person,
            number=int(number) if number.isdecimal() else 0,
            by=request.user,
            now=clock.now(),
        ),
        _("Thank you for reading it."),
    )
    return _back(request, pk)


def _person(request: VolunteerRequest, pk: int) -> Volunteer:
    rows = Volunteer.objects.open_to(request.user).of(request.standing.demonstration)
    return get_object_or_404(rows.select_related("demonstration", "guardian"), pk=pk)


def _page(request: VolunteerRequest, person: Volunteer) -> AboutPage:
    return selectors.about_page(
        person,
        reader=request.standing.volunteer,
        is_organiser=request.standing.is_organiser,
        now=clock.now(),
    )


def _back(request: VolunteerRequest, pk: int) -> HttpResponse:
    return redirect("people:about", request.standing.demonstration.slug, pk)


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
    demonstration = request.standing.demonstration
    words = selectors.current_words(demonstration, subject)
    form = WordingForm(typed(request), initial={"text": words.text})

    def write() -> object:
        return services.publish_wording(
            demonstration=demonstration,
            subject=subject,
            by=request.user,
            now=clock.now(),
            **form.cleaned_data,
        )

    if carried_out(request, form, write):
        messages.success(request, _("The new words hold from now on."))
        return redirect("people:words", demonstration.slug)
    context = {"form": form, "words": words}
    return render(request, "people/wording_publish.html", context)
