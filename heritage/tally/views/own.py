"""Own logs: what volunteers write of themselves, and the lead's answers."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.doors import asks_and_takes, carried_out, typed
from heritage.gatherings.models import Gathering
from heritage.people.models import Volunteer
from heritage.people.request import VolunteerRequest
from heritage.tally import selectors, services
from heritage.tally.forms import AnswerForm, OwnLogForm
from heritage.tally.views.doors import led_gathering


@opens_to(Role.VOLUNTEER)
@never_cache
@asks_and_takes
def mine(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Let a volunteer write down what they pulled, for a lead to confirm."""
    demonstration = request.standing.demonstration
    seen = Gathering.objects.visible_to(request.user).of(demonstration)
    gathering = get_object_or_404(seen.select_related("demonstration", "plot"), pk=pk)
    household: list[Volunteer] = []
    if request.standing.volunteer:
        household = selectors.household(request.standing.volunteer)
    form = OwnLogForm(typed(request), household=household)

    def write() -> None:
        services.log_own(
            gathering=gathering, by=request.user, now=clock.now(), **form.cleaned_data
        )

    if carried_out(request, form, write):
        messages.success(request, _("Kept. The lead confirms it before it counts."))
        return redirect(request.path)
    logs = selectors.own_logs(gathering, household)
    shown = {
        "gathering": gathering,
        "household": household,
        "logs": logs,
        "form": form,
    }
    return render(request, "tally/own_log.html", shown)


@opens_to(Role.LEAD)
@never_cache
@asks_and_takes
def confirm(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Answer what volunteers wrote of themselves."""
    gathering = led_gathering(request, pk)
    asked = request.POST.get("own_log", "")
    waiting = list(gathering.own_logs.all().unanswered().for_page())
    forms = [
        AnswerForm(request.POST if str(row.pk) == asked else None, own_log=row)
        for row in waiting
    ]
    for form in forms:
        if form.is_bound and _answered(request, form):
            messages.success(request, _("Answered."))
            return redirect(request.path)
    shown = {"gathering": gathering, "forms": forms}
    return render(request, "tally/own_confirm.html", shown)


def _answered(request: VolunteerRequest, form: AnswerForm) -> bool:
    def write() -> None:
        services.answer_own(
            own_log=form.own_log,
            by=request.user,
            now=clock.now(),
            **form.cleaned_data,
        )

    return carried_out(request, form, write)
