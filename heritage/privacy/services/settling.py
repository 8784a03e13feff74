"""Whether a name written in at the field is somebody known, or somebody else."""

from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

import heritage.gatherings.services as gatherings
from heritage.fieldlog.models import Receipt
from heritage.gatherings.selectors import folded
from heritage.gatherings.services.locking import require_lead
from heritage.people.models import User, Volunteer
from heritage.people.services.answering import require_organiser
from heritage.privacy.services.merging import make_one
from heritage.season.models import Demonstration


@transaction.atomic
def settle_name(
    *, receipt: Receipt, same_as: Volunteer | None, by: User, now: datetime
) -> Receipt:
    """Make the line written in one with its namesake's, or say that they are two.

    A lead may, who saw them: the line that goes is of that evening alone, and bears
    the name of the one that stays. What was settled before stands.

    Raises
    ------
    ValidationError
        If the two cannot be one person.
    """
    demonstration = receipt.gathering.demonstration
    gatherings.hold_all(demonstration)
    Demonstration.objects.select_for_update(no_key=True).get(pk=demonstration.pk)
    require_lead(receipt.gathering, by)
    row = Receipt.objects.select_related("volunteer").get(pk=receipt.pk)
    if row.settled_at or row.volunteer is None or not row.is_apart:
        return row
    if same_as:
        _join(row.volunteer, same_as, by, now)
        row.volunteer = same_as
    row.settled_at, row.settled_by = now, by
    row.full_clean()
    row.save(update_fields=["volunteer", "settled_at", "settled_by"])
    return row


def _join(gone: Volunteer, kept: Volunteer, by: User, now: datetime) -> None:
    if folded(gone.name) != folded(kept.name):
        raise ValidationError(
            _("They bear different names now. An organiser makes such lines one.")
        )
    if gone.user_id:
        # They are more than a name by now, and that is not a lead's to give away.
        require_organiser(gone.demonstration, by)
    make_one(gone, kept, by, now)
