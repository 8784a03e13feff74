"""Whether a name written in at the field is somebody known: the lead says."""

from django import forms
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.doors import done_or_said
from heritage.fieldlog.models import Receipt
from heritage.gatherings.models import Gathering
from heritage.people.models import Volunteer
from heritage.people.request import VolunteerRequest
from heritage.privacy import services
from heritage.privacy.forms import SameForm


@opens_to(Role.LEAD)
@require_POST
def settle(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Write down whether two lines of one name are one person."""
    here = request.standing.demonstration
    led = Gathering.objects.led_by(request.user).of(here)
    rows = Receipt.objects.at_gatherings(led)
    receipt = get_object_or_404(rows.select_related("gathering__demonstration"), pk=pk)
    form = SameForm(request.POST, people=Volunteer.objects.of(here).active())

    def write() -> None:
        if not form.is_valid():
            raise ValidationError(_first(form))
        services.settle_name(
            receipt=receipt,
            same_as=form.cleaned_data["same"],
            by=request.user,
            now=clock.now(),
        )

    done_or_said(request, write, _("That is settled."))
    return redirect("fieldlog:book", here.slug, receipt.gathering_id)


def _first(form: forms.Form) -> str:
    return str(next(iter(form.errors.values()))[0])
