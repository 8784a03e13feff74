"""The lead's call, and whom they telephoned about it."""

from datetime import datetime

from django.contrib import messages
from django.http import HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from heritage.common import clock
from heritage.common.access import Role, opens_to, row_or_404
from heritage.common.forms import asks_and_takes, refusals_shown
from heritage.gatherings.call import services
from heritage.gatherings.call.forms import CallForm, filled_in
from heritage.gatherings.call.selectors import crop_seen
from heritage.gatherings.ground.selectors import light_of
from heritage.gatherings.letters.services import note_told
from heritage.gatherings.models import Gathering
from heritage.gatherings.views import led
from heritage.kits.forecast import CREDIT, LICENCE_URL, ForecastError
from heritage.people.models import Letter
from heritage.people.request import VolunteerRequest
from heritage.season.forecast.services import is_configured


@opens_to(Role.LEAD)
@never_cache
@asks_and_takes
def call(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Weigh the weather and the light, then decide."""
    row, now = led(request, pk), clock.now()
    sent = _with_forecast(request, row, now) if request.method == "POST" else None
    form = CallForm(sent, gathering=row, initial=crop_seen(row))
    advice = form.advice(now)
    if advice and "decide" in request.POST and form.submit(by=request.user, now=now):
        words = _("The call is made: %s.") % form.saved.get_decision_display()
        messages.success(request, words)
        return redirect(row)
    context = {
        "gathering": row,
        "form": form,
        "advice": advice,
        "light": light_of(row),
        "calls": list(row.calls.newest_first()),
        "is_over": now >= row.ends_at,
        "has_forecast": is_configured(),
        "credit": CREDIT,
        "credit_url": LICENCE_URL,
    }
    return render(request, "gatherings/gathering_call.html", context)


def _with_forecast(
    request: VolunteerRequest, row: Gathering, now: datetime
) -> QueryDict:
    """Return what was sent; filled in from the forecast if its button was pressed.

    Whatever goes wrong with the forecast, what was typed stays and is weighed.
    """
    if "forecast" not in request.POST:
        return request.POST
    try:
        forecast = services.read_forecast(row, now)
    except ForecastError as error:
        messages.warning(request, services.why_not(error))
        return request.POST
    return filled_in(request.POST, forecast, row.demonstration.zone)


@opens_to(Role.LEAD)
@require_POST
def told(request: VolunteerRequest, pk: int, letter_pk: int) -> HttpResponse:
    """Write down that somebody whom no mail reached was telephoned."""
    row = led(request, pk)
    letter = row_or_404(Letter.objects.all(), request, letter_pk)
    with refusals_shown(request):
        note_told(gathering=row, letter=letter, by=request.user, now=clock.now())
        messages.success(request, _("Written down: they know."))
    return redirect(row)
