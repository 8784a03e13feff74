"""Who has heard their station's briefing, and who is left tonight."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from heritage.common.access import Role, opens_to
from heritage.gatherings import selectors
from heritage.gatherings.views.doors import led
from heritage.people.request import VolunteerRequest


@opens_to(Role.LEAD)
@never_cache
@require_safe
def briefed(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show the lead who is left, with a press for each that has heard it."""
    page = selectors.briefed_page(led(request, pk))
    return render(request, "gatherings/gathering_briefed.html", {"page": page})
