"""Everything beyond the few places."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.desk.more import selectors
from heritage.people.request import VolunteerRequest


@opens_to(Role.VOLUNTEER)
@require_safe
def more(request: VolunteerRequest) -> HttpResponse:
    """List what is used less often, by what it is for."""
    page = selectors.more(request.standing, clock.now())
    return render(request, "desk/more.html", {"page": page})
