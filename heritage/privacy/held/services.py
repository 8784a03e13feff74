"""Taking an agreement back, with what was done on the strength of it."""

from datetime import datetime

from django.db import transaction

from heritage.people.agreements.services import take_back_health_note, withdraw
from heritage.people.models import Agreement, Subject, User
from heritage.pictures.models import Picture
from heritage.pictures.services import unpublish_of


@transaction.atomic
def take_back(*, agreement: Agreement, by: User, now: datetime) -> list[Picture]:
    """Take an agreement back and undo what rested on it, in one stroke.

    That on photographs takes every picture in which the person is marked from
    visitors; that on health deletes the note. Returns the pictures taken down.

    Raises
    ------
    ValidationError
        If they may not say so.
    """
    subject, volunteer = agreement.wording.subject, agreement.volunteer
    if subject == Subject.HEALTH:
        take_back_health_note(volunteer=volunteer, by=by, now=now)
        return []
    withdraw(agreement=agreement, by=by, now=now)
    if subject == Subject.PHOTOGRAPH:
        return unpublish_of(volunteer=volunteer)
    return []
