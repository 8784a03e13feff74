"""How people are kept: ages or dates, and the hours to answer."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.forms import asks_and_takes, typed
from heritage.people.particulars.forms import KeepingForm
from heritage.people.request import VolunteerRequest


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def keeping(request: VolunteerRequest) -> HttpResponse:
    """Change how people are kept."""
    demonstration = request.standing.demonstration
    form = KeepingForm(typed(request), instance=demonstration)
    if form.submit(by=request.user, now=clock.now()):
        messages.success(request, _("That is how people are kept now."))
        return redirect("people:keeping", demonstration.slug)
    return render(request, "people/keeping.html", {"form": form})
