"""Giving somebody at the gate a station."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.doors import asks_and_takes
from heritage.gatherings import selectors, services
from heritage.gatherings.forms import GivenStationForm
from heritage.gatherings.views.doors import led
from heritage.people.models import Volunteer
from heritage.people.request import VolunteerRequest


@opens_to(Role.LEAD)
@never_cache
@asks_and_takes
def gate_station(request: VolunteerRequest, pk: int, person_pk: int) -> HttpResponse:
    """Show where somebody may be put, and put them there by one press."""
    row, now = led(request, pk), clock.now()
    everybody = Volunteer.objects.of(row.demonstration).active()
    person = get_object_or_404(everybody.select_related("guardian"), pk=person_pk)
    if request.method == "POST":
        form = GivenStationForm(request.POST, stations=row.stations.in_order())
        try:
            if not form.is_valid():
                raise ValidationError(form.errors["station"].as_data())
            services.put_at(
                gathering=row,
                volunteer=person,
                station=form.cleaned_data["station"],
                by=request.user,
                now=now,
            )
        except ValidationError as error:
            messages.error(request, " ".join(error.messages))
            return redirect(request.path)
        words = _("%(who)s is at %(station)s now.")
        who = {"who": person, "station": form.cleaned_data["station"]}
        messages.success(request, words % who)
        return redirect("gatherings:gate", row.demonstration.slug, row.pk)
    page = selectors.stations_for(row, person, now)
    return render(request, "gatherings/gathering_gate_station.html", {"page": page})
