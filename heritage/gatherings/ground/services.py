"""The lock every change to a gathering's places takes first.

Gatherings are locked before the demonstration. A newcomer at the gate is put on the
list while the gathering is locked, so what takes a line away everywhere (a merge, an
erasing) locks every gathering first, then the demonstration; and what writes a person
in reads their line again under the gathering's lock (`require_on_list`).
"""

from datetime import datetime

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from heritage.gatherings.models import Gathering, Run
from heritage.people.models import User, Volunteer
from heritage.season.models import Demonstration


def lock_gathering(gathering: Gathering) -> Gathering:
    """Return the gathering as it is now; nobody else changes it until we are done."""
    rows = Gathering.objects.select_for_update(of=("self",))
    return rows.select_related("demonstration").get(pk=gathering.pk)


def lock_gatherings(demonstration: Demonstration) -> None:
    """Let nobody change any gathering's people until we are done.

    For what moves a person everywhere at once. It comes before a lock on the
    demonstration, as it does at the gate, where a newcomer is put on the list.
    """
    rows = Gathering.objects.of(demonstration).select_for_update(of=("self",))
    list(rows.order_by("pk").values_list("pk"))


def lock_run(run: Run) -> Run:
    """Return a run as it is now; nobody else changes it or its evenings.

    The evenings are locked in the order in which `lock_gatherings` does.
    """
    locked = Run.objects.select_for_update().get(pk=run.pk)
    rows = locked.gatherings.select_for_update(of=("self",)).order_by("pk")
    list(rows.values_list("pk"))
    return locked


def require_on_list(gathering: Gathering, volunteer: Volunteer) -> None:
    """Refuse a line that was merged or erased, even while the asker was asking."""
    if not Volunteer.objects.standing().of_keys([volunteer.pk]).exists():
        raise ValidationError(
            _("%s isn't on the list any more. Reload the page.") % volunteer
        )
    if volunteer.demonstration_id != gathering.demonstration_id:
        raise ValidationError(_("Choose somebody on the list."))


def require_lead(gathering: Gathering, by: User) -> None:
    """Refuse anybody who neither leads the gathering nor organises."""
    if not Gathering.objects.led_by(by).filter(pk=gathering.pk).exists():
        raise ValidationError(_("Only the lead or an organiser can do this."))


def require_answerable(gathering: Gathering, volunteer: Volunteer, by: User) -> None:
    """Refuse anybody but the person, their guardian, the lead and the organisers."""
    require_on_list(gathering, volunteer)
    if volunteer.left_at:
        raise ValidationError(_("Choose somebody on the list."))
    mine = by.volunteers.active().of(gathering.demonstration).first()
    answers = mine and mine.pk in (volunteer.pk, volunteer.guardian_id)
    if not answers:
        require_lead(gathering, by)


def require_open(gathering: Gathering, now: datetime) -> None:
    """Refuse changes to places where there are none to give."""
    if gathering.is_draft:
        raise ValidationError(_("This gathering isn't posted yet."))
    if gathering.is_called_off:
        raise ValidationError(_("This gathering has been called off."))
    if now >= gathering.starts_at:
        raise ValidationError(
            _("This gathering has begun. Ask the lead at the gate to add you.")
        )
