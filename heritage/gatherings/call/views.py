"""The lead's call, and whom they telephoned about it."""

from datetime import datetime

from django.contrib import messages
from django.http import HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from heritage.common import clock
from heritage.common.access import Role, opens_to, row_or_404
from heritage.common.forms import asks_and_takes, refusals_shown
from heritage.gatherings.call import services
from heritage.gatherings.call.forms import (
    CallForm,
    ThatCallForm,
    filled_in,
    filled_out,
)
from heritage.gatherings.call.selectors import advise, crop_seen
from heritage.gatherings.ground.selectors import light_of
from heritage.gatherings.letters.services import note_told
from heritage.gatherings.models import Gathering, WhyOff
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
    seen = crop_seen(row)
    sent = _with_forecast(request, row, now) if request.method == "POST" else None
    form = CallForm(sent and filled_out(sent, seen), gathering=row, initial=seen)
    is_weighed = "weigh" in request.POST or "forecast" in request.POST
    advice = form.advice(now) if form.is_bound else advise(row, {}, now)
    if (
        form.is_bound
        and advice
        and not is_weighed
        and form.submit(by=request.user, now=now)
    ):
        return redirect(row)
    context = {
        "gathering": row,
        "form": form,
        "advice": advice,
        "light": light_of(row),
        "calls": list(row.calls.newest_first()),
        "is_over": now >= row.ends_at,
        "is_weighed": is_weighed,
        "why_off": WhyOff.choices,
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
def take_back(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Undo a decision before anybody is told of it."""
    row = led(request, pk)
    with refusals_shown(request):
        form = ThatCallForm(request.POST, gathering=row)
        told = form.press(take_back=True, by=request.user, now=clock.now())
        messages.success(request, _("Taken back. No e-mail was sent."))
        if told:
            words = ngettext(
                "%d person was told already: tell them too.",
                "%d people were told already: tell them too.",
                told,
            )
            messages.warning(request, words % told)
    return redirect(row)


@opens_to(Role.LEAD)
@require_POST
def send(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Send the letters about a decision without waiting for the minute to pass."""
    row = led(request, pk)
    with refusals_shown(request):
        sent = ThatCallForm(request.POST, gathering=row).press(
            take_back=False, by=request.user, now=clock.now()
        )
        words = ngettext(
            "%d e-mail is on its way.", "%d e-mails are on their way.", sent
        )
        messages.success(request, words % sent)
    return redirect(row)


@opens_to(Role.LEAD)
@require_POST
def told(request: VolunteerRequest, pk: int, letter_pk: int) -> HttpResponse:
    """Write down that somebody whom no mail reached was telephoned."""
    row = led(request, pk)
    letter = row_or_404(Letter.objects.all(), request, letter_pk)
    with refusals_shown(request):
        note_told(gathering=row, letter=letter, by=request.user, now=clock.now())
        messages.success(request, _("Saved: they know."))
    return redirect(row)
