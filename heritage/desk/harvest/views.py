"""The plan of the harvest, and posting what it proposes."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.forms import refusals_shown
from heritage.desk.harvest import words
from heritage.desk.harvest.forms import PostForm
from heritage.desk.harvest.selectors import HarvestPage, harvest_page
from heritage.kits.forecast import CREDIT, LICENCE_URL
from heritage.people.request import VolunteerRequest
from heritage.tally.forecast.selectors import in_percent, record_words


@opens_to(Role.ORGANISER)
@never_cache
@require_safe
def harvest(request: VolunteerRequest) -> HttpResponse:
    """Show how likely the harvest is to be in time, and what to do about it."""
    here = request.standing.demonstration
    page = harvest_page(here, clock.now())
    context: dict[str, Any] = {
        "page": page,
        "post_url": reverse("desk:harvest_post", args=[here.slug]),
        "credit": CREDIT,
        "credit_url": LICENCE_URL,
    }
    if page:
        context |= _words(page)
    return render(request, "desk/harvest.html", context)


@opens_to(Role.ORGANISER)
@require_POST
def post(request: VolunteerRequest) -> HttpResponse:
    """Post one evening that was proposed."""
    here, form = request.standing.demonstration, PostForm(request.POST)
    with refusals_shown(request):
        row = form.press(demonstration=here, now=clock.now())
        day = date_format(row.starts_at.astimezone(here.zone), "l j F")
        said = {"title": row, "day": day}
        messages.success(request, _("“%(title)s” is posted for %(day)s.") % said)
    return redirect("desk:harvest", here.slug)


def _words(page: HarvestPage) -> dict[str, Any]:
    """Say in words what the page shows."""
    facts = page.facts
    return {
        "sentence": _sentence(page),
        "still_stands": round(page.left.likely) > 0,
        "planned": words.planned_sentence(
            page.planned.pulled, page.planned.under_water, has_dam=page.has_dam
        ),
        "limit": words.limit_words(page.limit, page.room_short) if page.limit else "",
        "evenings": [
            (one, words.risen(one.before, one.after)) for one in page.evenings
        ],
        "carts": [(one, words.days_list(one.evenings)) for one in page.carts],
        "helps": [
            (one.words, words.risen(one.before, one.after)) for one in page.helps
        ],
        "weather": record_words(facts.basis.weather, is_foreseen=facts.is_foreseen),
        "low": in_percent(page.slow.under_water),
        "high": in_percent(page.quick.under_water),
        "exact": in_percent(page.planned.under_water),
    }


def _sentence(page: HarvestPage) -> str:
    last = page.facts.window.last
    if page.is_over:
        return words.over_sentence(last, round(page.left.likely))
    return words.chance_sentence(page.posted.under_water, last, has_dam=page.has_dam)
