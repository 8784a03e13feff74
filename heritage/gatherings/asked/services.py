"""Weighing whether a young person may work at the machines.

A decision is on a kind of work, not on an evening: ten evenings in a row are one.
"""

from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.calc import young_people
from heritage.gatherings.models import StationKind, Weighing
from heritage.people.models import User, Volunteer
from heritage.people.particulars.services import require_organiser


@transaction.atomic
def weigh(
    *, volunteer: Volunteer, work: str, may: bool, why: str, by: User, now: datetime
) -> Weighing:
    """Write down whether an organiser lets somebody under 18 do some work.

    Raises
    ------
    ValidationError
        By field, where there is nothing to weigh: they are grown up, too young
        whatever is decided, or the work asks for no decision.
    """
    rows = Volunteer.objects.select_for_update(of=("self",))
    volunteer = rows.select_related("demonstration").get(pk=volunteer.pk)
    require_organiser(volunteer.demonstration, by)
    _require_something_to_weigh(volunteer, work, now)
    row = Weighing(
        volunteer=volunteer,
        work=work,
        may=may,
        why=why.strip(),
        weighed_at=now,
        weighed_by=by,
    )
    row.full_clean()
    row.save()
    return row


def _require_something_to_weigh(volunteer: Volunteer, work: str, now: datetime) -> None:
    if volunteer.left_at:
        raise ValidationError(
            {"volunteer": _("%s has left the list. Put them back first.") % volunteer}
        )
    where = volunteer.demonstration
    rule = young_people.least_age(where.jurisdiction, StationKind(work))
    if not rule.review_below:
        raise ValidationError({"work": _("This work needs no decision.")})
    age = volunteer.age_on(now.astimezone(where.zone).date())
    if age >= rule.review_below:
        raise ValidationError(
            {"volunteer": _("%s is 18 or over, so no decision is needed.") % volunteer}
        )
