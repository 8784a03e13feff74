"""The organiser's list of what people can do, and who is confirmed in it."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from heritage.common import clock
from heritage.common.access import Role, opens_to, row_or_404
from heritage.common.forms import (
    RecordPage,
    asks_and_takes,
    refusals_shown,
    take_record,
    typed,
)
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
    here = request.standing.demonstration
    form = CompetenceForm(typed(request), instance=Competence(demonstration=here))
    if form.submit(by=request.user):
        messages.success(request, _("Added."))
        return redirect("people:competences", here.slug)
    page = selectors.competence_page(here, clock.today(here.time_zone))
    starting = StartingForm(offered=list(page.offered))
    context = {"page": page, "form": form, "starting": starting}
    return render(request, "people/competence_list.html", context)


@opens_to(Role.ORGANISER)
@require_POST
def start(request: VolunteerRequest) -> HttpResponse:
    """Put those of our own list that were ticked on the organiser's."""
    here, titles = request.standing.demonstration, request.POST.getlist("titles")
    with refusals_shown(request):
        services.take_starting_competences(
            demonstration=here, titles=titles, by=request.user
        )
        messages.success(request, _("Added."))
    return redirect("people:competences", here.slug)


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def enter(request: VolunteerRequest) -> HttpResponse:
    """Write down that somebody can do something, said or not."""
    here = request.standing.demonstration
    form = EnterForm(typed(request), demonstration=here)
    if form.submit(by=request.user, now=clock.now()):
        who = form.saved.volunteer
        messages.success(request, _("Confirmed: %s.") % who)
        return redirect("people:competences", here.slug)
    return render(request, "people/skill_enter.html", {"form": form})


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def change(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Call a competence something else, or take off one that is not in use."""
    rows = Competence.objects.managed_by(request.user).select_related("demonstration")
    row = row_or_404(rows, request, pk)
    page = RecordPage(
        title=row.title,
        lead=_("People confirmed stay confirmed under the new name."),
        submit=_("Save"),
        kept=_("Changed."),
        back=reverse("people:competences", args=[row.demonstration.slug]),
        remove=_("Take it off the list"),
        remove_lead=_("Only while nobody has it and no station asks for it."),
        removed=_("“%s” is removed.") % row,
    )
    form = CompetenceForm(typed(request), instance=row)
    return take_record(request, form, page, by=request.user)


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def answer(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Confirm what somebody says they can do, or refuse it."""
    rows = Skill.objects.managed_by(request.user)
    rows = rows.select_related("volunteer__demonstration", "competence")
    skill, here = row_or_404(rows, request, pk), request.standing.demonstration
    form = AnswerForm(typed(request), instance=skill)
    if form.submit(by=request.user, now=clock.now()):
        messages.success(request, _("Answer saved."))
        return redirect("people:competences", here.slug)
    has_run_out = skill.has_run_out(clock.today(here.time_zone))
    context = {"form": form, "skill": skill, "has_run_out": has_run_out}
    return render(request, "people/skill_answer.html", context)
