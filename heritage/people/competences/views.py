"""The organiser's list of what people can do, and who is confirmed in it."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.doors import asks_and_takes, carried_out, done_or_said, typed
from heritage.people.competences import selectors, services
from heritage.people.competences.forms import (
    AnswerForm,
    CompetenceForm,
    EnterForm,
    StartingForm,
)
from heritage.people.models import Competence, Skill
from heritage.people.request import VolunteerRequest


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def list_(request: VolunteerRequest) -> HttpResponse:
    """Show who can do what and what waits, and put something on the list."""
    demonstration = request.standing.demonstration
    form = CompetenceForm(typed(request))

    def write() -> object:
        return services.add_competence(
            demonstration=demonstration, by=request.user, **form.cleaned_data
        )

    if carried_out(request, form, write):
        messages.success(request, _("It is on the list."))
        return redirect("people:competences", demonstration.slug)
    today = clock.today(demonstration.time_zone)
    page = selectors.competence_page(demonstration, today)
    starting = StartingForm(offered=list(page.offered))
    context = {"page": page, "form": form, "starting": starting}
    return render(request, "people/competence_list.html", context)


@opens_to(Role.ORGANISER)
@require_POST
def start(request: VolunteerRequest) -> HttpResponse:
    """Put those of our own list that were ticked on the organiser's."""
    demonstration = request.standing.demonstration
    done_or_said(
        request,
        lambda: services.take_starting_competences(
            demonstration=demonstration,
            titles=request.POST.getlist("titles"),
            by=request.user,
        ),
        _("They are on the list."),
    )
    return redirect("people:competences", demonstration.slug)


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def enter(request: VolunteerRequest) -> HttpResponse:
    """Write down that somebody can do something, said or not."""
    demonstration = request.standing.demonstration
    form = EnterForm(typed(request), demonstration=demonstration)

    def write() -> object:
        return services.confirm_able(
            by=request.user, now=clock.now(), **form.cleaned_data
        )

    if carried_out(request, form, write):
        who = form.cleaned_data["volunteer"]
        messages.success(request, _("It is confirmed of %s.") % who)
        return redirect("people:competences", demonstration.slug)
    return render(request, "people/skill_enter.html", {"form": form})


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def change(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Call a competence something else."""
    row, slug = _competence(request, pk), request.standing.demonstration.slug
    fields = ("title", "asks", "is_first_aid")
    initial = {field: getattr(row, field) for field in fields}
    form = CompetenceForm(typed(request), initial=initial)

    def write() -> object:
        return services.change_competence(
            competence=row, by=request.user, **form.cleaned_data
        )

    if carried_out(request, form, write):
        messages.success(request, _("It is put right."))
        return redirect("people:competences", slug)
    context = {"form": form, "competence": _competence(request, pk)}
    return render(request, "people/competence_change.html", context)


@opens_to(Role.ORGANISER)
@require_POST
def remove(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Take a competence off the list, if it is not in use."""
    row = _competence(request, pk)
    done_or_said(
        request,
        lambda: services.remove_competence(competence=row, by=request.user),
        _("“%s” is off the list.") % row,
    )
    return redirect("people:competences", request.standing.demonstration.slug)


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def answer(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Confirm what somebody says they can do, or refuse it."""
    row, slug = _skill(request, pk), request.standing.demonstration.slug
    form = AnswerForm(typed(request), initial={"runs_out_on": row.runs_out_on})

    def write() -> object:
        said = form.cleaned_data
        about: dict[str, Any] = {
            "volunteer": row.volunteer,
            "competence": row.competence,
            "by": request.user,
            "now": clock.now(),
        }
        if said["decision"] == "refuse":
            return services.refuse_able(why=said["why"], **about)
        return services.confirm_able(runs_out_on=said["runs_out_on"], **about)

    if carried_out(request, form, write):
        messages.success(request, _("Your answer is written down."))
        return redirect("people:competences", slug)
    today = clock.today(row.volunteer.demonstration.time_zone)
    context = {"form": form, "skill": row, "has_run_out": row.has_run_out(today)}
    return render(request, "people/skill_answer.html", context)


def _competence(request: VolunteerRequest, pk: int) -> Competence:
    rows = Competence.objects.managed_by(request.user)
    here = rows.of(request.standing.demonstration).select_related("demonstration")
    return get_object_or_404(here, pk=pk)


def _skill(request: VolunteerRequest, pk: int) -> Skill:
    rows = Skill.objects.managed_by(request.user).of(request.standing.demonstration)
    with_who = rows.select_related("volunteer__demonstration", "competence")
    return get_object_or_404(with_who, pk=pk)
