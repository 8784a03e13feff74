"""Which rows the asker may reach."""

from django.shortcuts import get_object_or_404

from heritage.gatherings.models import Gathering
from heritage.people.models import Volunteer
from heritage.people.request import VolunteerRequest


def led_gathering(request: VolunteerRequest, pk: int) -> Gathering:
    """Return a gathering that the asker leads: 404 for any other."""
    led = Gathering.objects.led_by(request.user).of(request.standing.demonstration)
    return get_object_or_404(led.select_related("demonstration", "plot"), pk=pk)


def own_volunteer(request: VolunteerRequest, pk: int) -> Volunteer:
    """Return a person whose statement the asker may read: 404 for anybody else's."""
    rows = Volunteer.objects.visible_to(request.user).of(request.standing.demonstration)
    volunteer = request.standing.volunteer
    if not request.standing.is_organiser and volunteer:
        rows = rows.answered_for_by(volunteer)
    return get_object_or_404(rows.select_related("demonstration"), pk=pk)
