"""In an emergency: whom to call and, for the first-aider alone, what to know."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.gatherings import selectors
from heritage.gatherings.models import Gathering
from heritage.people.request import VolunteerRequest


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
def first_aid(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show the day's first-aider, and organisers, the notes and whom to call."""
    now = clock.now()
    rows = Gathering.objects.first_aid_by(request.user, now)
    row = get_object_or_404(rows.of(request.standing.demonstration).for_page(), pk=pk)
    page = selectors.first_aid_page(row, now)
    return render(request, "gatherings/first_aid.html", {"page": page})


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
def emergency(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show the lead, the first-aider and organisers whom to call."""
    now = clock.now()
    rows = Gathering.objects.emergency_by(request.user, now)
    row = get_object_or_404(rows.of(request.standing.demonstration).for_page(), pk=pk)
    page = selectors.emergency_page(row)
    return render(request, "gatherings/emergency.html", {"page": page})
