"""How people are kept: ages or dates, and the hours to answer."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.doors import asks_and_takes, carried_out, typed
from heritage.people.particulars import services
from heritage.people.particulars.forms import KeepingForm
from heritage.people.request import VolunteerRequest


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def keeping(request: VolunteerRequest) -> HttpResponse:
    """Change how people are kept."""
    demonstration = request.standing.demonstration
    initial = {
        "asks_birth_date": "yes" if demonstration.asks_birth_date else "no",
        "answer_hours": demonstration.answer_hours,
    }
    form = KeepingForm(typed(request), initial=initial)

    def write() -> object:
        return services.change_keeping(
            demonstration=demonstration,
            by=request.user,
            now=clock.now(),
            **form.cleaned_data,
        )

    if carried_out(request, form, write):
        messages.success(request, _("That is how people are kept now."))
        return redirect("people:keeping", demonstration.slug)
    return render(request, "people/keeping.html", {"form": form})
