"""The lock every change to a gathering's places takes first."""

from datetime import datetime

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from heritage.gatherings.models import Gathering
from heritage.people.models import User, Volunteer


def hold(gathering: Gathering) -> Gathering:
    """Return the gathering as it is now; nobody else changes it until we are done."""
    rows = Gathering.objects.select_for_update(of=("self",))
    return rows.select_related("demonstration").get(pk=gathering.pk)


def require_lead(gathering: Gathering, by: User) -> None:
    """Refuse whoever neither leads the gathering nor organises."""
    if not Gathering.objects.led_by(by).filter(pk=gathering.pk).exists():
        raise ValidationError(_("Only the lead or an organiser may do this."))


def require_answerable(gathering: Gathering, volunteer: Volunteer, by: User) -> None:
    """Refuse anybody but the person, their guardian, the lead and the organisers."""
    if volunteer.demonstration_id != gathering.demonstration_id or volunteer.left_at:
        raise ValidationError(_("They are no volunteer of this demonstration."))
    mine = by.volunteers.active().of(gathering.demonstration).first()
    answers = mine and mine.pk in (volunteer.pk, volunteer.guardian_id)
    if not answers:
        require_lead(gathering, by)


def require_open(gathering: Gathering, now: datetime) -> None:
    """Refuse changes to places where there are none to give."""
    if gathering.is_draft:
        raise ValidationError(_("This gathering has not been posted yet."))
    if gathering.is_called_off:
        raise ValidationError(_("This gathering has been called off."))
    if now >= gathering.starts_at:
        raise ValidationError(
            _("This gathering has begun. Ask the lead at the gate to write you in.")
        )
