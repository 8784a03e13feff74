"""When the field will be done."""

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


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
def forecast(request: VolunteerRequest) -> HttpResponse:
    """Show when the field will be done, and what would change it."""
    demonstration, now = request.standing.demonstration, clock.now()
    plans = selectors.plans(demonstration, now)
    form = WhatIfForm(request.GET or None, plans=plans)
    page = selectors.forecast_page(
        demonstration, now=now, plans=plans, asked=form.asked()
    )
    room = form.room_in_dam()
    shown = {
        "page": page,
        "credit": CREDIT,
        "credit_url": LICENCE_URL,
        "form": form,
        "before": selectors.finish_words(page.before),
        "before_chance": selectors.chance_words(page.before),
        "weather": selectors.weather_words(page),
        "warnings": list(selectors.warnings(page)),
        "dam": selectors.dam_warning(page, room) if room else None,
    }
    if page.plans and page.progress.has_stand:
        shown["sentence"] = selectors.likely_words(page)
    if page.plans:
        shown["drawing"] = chance_drawing(page.shown)
    if page.after:
        shown["after"] = selectors.finish_words(page.after)
        shown["after_chance"] = selectors.chance_words(page.after)
    return render(request, "tally/forecast.html", shown)
