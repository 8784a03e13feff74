"""Young people and the machines: what an organiser weighed and decided."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to, row_or_404
from heritage.common.forms import asks_and_takes, typed
from heritage.gatherings.asked import selectors
from heritage.gatherings.asked.forms import WeighingForm
from heritage.gatherings.models import Gathering
from heritage.gatherings.views import led
from heritage.people.request import VolunteerRequest


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def weighings(request: VolunteerRequest) -> HttpResponse:
    """Show what was decided for each young person, and take a decision."""
    demonstration, now = request.standing.demonstration, clock.now()
    page = selectors.weighing_page(demonstration, now)
    people = [one.volunteer for one in page.people]
    form = WeighingForm(typed(request), people=people, works=page.works)
    if form.submit(by=request.user, now=now):
        messages.success(request, _("Decision saved."))
        return redirect("gatherings:weighings", demonstration.slug)
    return render(request, "gatherings/weighings.html", {"page": page, "form": form})


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
def first_aid(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show the day's first-aider, and organisers, the notes and whom to call."""
    now = clock.now()
    rows = Gathering.objects.first_aid_by(request.user, now)
    row = row_or_404(rows.for_page(), request, pk)
    page = selectors.first_aid_page(row, now)
    return render(request, "gatherings/first_aid.html", {"page": page})


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
def emergency(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show the lead, the first-aider and organisers whom to call."""
    now = clock.now()
    rows = Gathering.objects.emergency_by(request.user, now)
    row = row_or_404(rows.for_page(), request, pk)
    page = selectors.emergency_page(row)
    return render(request, "gatherings/emergency.html", {"page": page})


@opens_to(Role.LEAD)
@never_cache
@require_safe
def briefed(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show the lead who is left, with a press for each that has heard it."""
    page = selectors.briefed_page(led(request, pk))
    return render(request, "gatherings/gathering_briefed.html", {"page": page})
