"""The page of the season's end: how the forecasts fared."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from heritage.common.access import Role, opens_to
from heritage.common.forms import by_local_clock
from heritage.desk.scores.selectors import scores_page
from heritage.people.request import Request


@opens_to(Role.ORGANISER)
@require_safe
@by_local_clock
def scores(request: Request) -> HttpResponse:
    """Set each forecast beside what happened, and beside a plain calendar."""
    page = scores_page(request.standing.demonstration)
    return render(request, "desk/scores.html", {"page": page})
