"""Young people and the machines: what an organiser weighed and decided."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.doors import asks_and_takes, carried_out, typed
from heritage.gatherings import selectors, services
from heritage.gatherings.forms import WeighingForm
from heritage.people.request import VolunteerRequest


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def weighings(request: VolunteerRequest) -> HttpResponse:
    """Show what was decided for each young person, and take a decision."""
    demonstration, now = request.standing.demonstration, clock.now()
    page = selectors.weighing_page(demonstration, now)
    people = [one.volunteer for one in page.people]
    form = WeighingForm(typed(request), people=people, works=page.works)

    def write() -> object:
        return services.weigh(by=request.user, now=now, **form.cleaned_data)

    if carried_out(request, form, write):
        messages.success(request, _("The decision is written down."))
        return redirect("gatherings:weighings", demonstration.slug)
    return render(request, "gatherings/weighings.html", {"page": page, "form": form})
