"""The page of temperatures."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import ngettext
from django.views.decorators.cache import never_cache

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.forms import asks_and_takes, sent
from heritage.growth.views import require_writer
from heritage.growth.warmth.forms import DayForm, DaysFileForm
from heritage.growth.warmth.selectors import warmth_page
from heritage.people.request import VolunteerRequest


@opens_to(Role.LEAD)
@never_cache
@asks_and_takes
def warmth(request: VolunteerRequest) -> HttpResponse:
    """Take in one day's temperatures, or a file of many."""
    require_writer(request)
    here, now = request.standing.demonstration, clock.now()
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
    context = {"form": form, "day": day, "file": file, "page": warmth_page(here)}
    return render(request, "growth/warmth.html", context)
