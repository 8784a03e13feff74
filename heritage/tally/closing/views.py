"""One beet more, and the page on which an evening is counted in and closed."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.forms import asks_and_takes, refusals_shown, typed
from heritage.people.request import VolunteerRequest
from heritage.tally.closing.forms import OneMoreForm, SheetForm
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


@opens_to(Role.LEAD)
@require_POST
def one_more(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Add one beet to somebody's count, and go back to the gathering."""
    gathering = led_gathering(request, pk)
    with refusals_shown(request):
        form = OneMoreForm(request.POST, gathering=gathering)
        form.press(by=request.user, now=clock.now())
    return redirect(f"{gathering.get_absolute_url()}#here")
