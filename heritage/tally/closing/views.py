"""The page on which an evening is counted in and closed."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.forms import asks_and_takes, typed
from heritage.people.request import VolunteerRequest
from heritage.tally.closing.forms import SheetForm
from heritage.tally.closing.selectors import evening_sheet
from heritage.tally.views import led_gathering


@opens_to(Role.LEAD)
@never_cache
@asks_and_takes
def sheet(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show who came and what each pulled; save it, and close the evening."""
    gathering, now = led_gathering(request, pk), clock.now()
    page = evening_sheet(gathering, request.user, now)
    form = SheetForm(typed(request), page=page)
    if form.submit(by=request.user, now=now):
        messages.success(request, form.saved)
        if "close" in request.POST:
            messages.success(request, _("%s is closed.") % gathering)
            return redirect(gathering)
        return redirect(request.path)
    return render(request, "tally/log.html", {"page": page, "form": form})
