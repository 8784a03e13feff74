"""When the field will be done."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.kits.forecast import CREDIT, LICENCE_URL
from heritage.people.request import VolunteerRequest
from heritage.tally.drawings import chance_drawing
from heritage.tally.forecast import selectors
from heritage.tally.forecast.forms import WhatIfForm
from heritage.tally.forecast.selectors import ForecastPage
from heritage.tally.pace.selectors import plans


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
def forecast(request: VolunteerRequest) -> HttpResponse:
    """Show when the field will be done, and what would change it."""
    demonstration, now = request.standing.demonstration, clock.now()
    ahead = plans(demonstration, now)
    form = WhatIfForm(request.GET or None, plans=ahead)
    page = selectors.forecast_page(
        demonstration, now=now, plans=ahead, asked=form.asked()
    )
    room = form.room_in_dam()
    context = _words(page) | {
        "page": page,
        "credit": CREDIT,
        "credit_url": LICENCE_URL,
        "form": form,
        "dam": selectors.dam_warning(page, room) if room else None,
    }
    if page.plans:
        context["drawing"] = chance_drawing(page.shown)
    return render(request, "tally/forecast.html", context)


def _words(page: ForecastPage) -> dict[str, Any]:
    """Say in sentences what the page shows."""
    words: dict[str, Any] = {
        "before": selectors.finish_words(page.before),
        "before_chance": selectors.chance_words(page.before),
        "weather": selectors.weather_words(page),
        "warnings": list(selectors.warnings(page)),
    }
    if page.plans and page.progress.has_stand:
        words["sentence"] = selectors.likely_words(page)
    if page.after:
        words["after"] = selectors.finish_words(page.after)
        words["after_chance"] = selectors.chance_words(page.after)
    return words
