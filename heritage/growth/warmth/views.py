"""The page of temperatures."""

from datetime import datetime

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.cache import never_cache

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.forms import asks_and_takes, sent
from heritage.growth.views import require_writer
from heritage.growth.warmth.forms import DayForm, DaysFileForm
from heritage.growth.warmth.selectors import warmth_page
from heritage.growth.warmth.services import fetch_days
from heritage.kits.forecast import CREDIT, LICENCE_URL, ForecastError
from heritage.people.request import VolunteerRequest
from heritage.season.forecast.services import is_configured, why_unread
from heritage.season.models import Demonstration


@opens_to(Role.LEAD)
@never_cache
@asks_and_takes
def warmth(request: VolunteerRequest) -> HttpResponse:
    """Take in one day's temperatures, or a file of many."""
    require_writer(request)
    here, now = request.standing.demonstration, clock.now()
    if "fetch" in request.POST:
        return _fetch(request, here, now)
    fields, files = sent(request)
    of_file = files is not None and "of_file" in (fields or {})
    day = DayForm(
        None if of_file else fields, initial={"day": clock.today(here.time_zone)}
    )
    file = DaysFileForm(*((fields, files) if of_file else (None, None)))
    form = file if of_file else day
    if form.submit(demonstration=here, by=request.user, now=now):
        words = ngettext("%d day is kept.", "%d days are kept.", form.saved)
        messages.success(request, words % form.saved)
        return redirect(request.path)
    context = {
        "form": form,
        "day": day,
        "file": file,
        "page": warmth_page(here),
        "can_fetch": is_configured(),
        "credit": CREDIT,
        "licence": LICENCE_URL,
    }
    return render(request, "growth/warmth.html", context)


def _fetch(
    request: VolunteerRequest, here: Demonstration, now: datetime
) -> HttpResponse:
    try:
        kept = fetch_days(demonstration=here, by=request.user, now=now)
    except ForecastError as error:
        words = _("%s Type the temperatures, or try again later.")
        messages.warning(request, words % why_unread(error))
    else:
        words = ngettext(
            "%d day ahead is kept, as forecast.",
            "%d days ahead are kept, as forecast.",
            kept,
        )
        messages.success(request, words % kept)
    return redirect(request.path)
