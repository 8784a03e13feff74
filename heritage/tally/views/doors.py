"""Which rows the asker may reach, and how a refusal gets back onto its form."""

from collections.abc import Callable

from django.core.exceptions import ValidationError
from django.forms import Form
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


def kept(form: Form, write: Callable[[], object]) -> bool:
    """Write what a form said; a refusal goes onto the form, and False comes back."""
    try:
        write()
    except ValidationError as refusal:
        if not hasattr(refusal, "error_dict"):
            form.add_error(None, refusal)
            return False
        for field, errors in refusal.error_dict.items():
            for error in errors:
                form.add_error(field if field in form.fields else None, error)
        return False
    return True
