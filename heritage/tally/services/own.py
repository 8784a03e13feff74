"""A volunteer's own log, and the lead's answer to it."""

import uuid
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.gatherings.models import Gathering
from heritage.people.models import User, Volunteer
from heritage.people.services.answering import require_own_word_or_organiser
from heritage.tally.models import Answer, OwnLog, Source, Way
from heritage.tally.services.beets import log_evening
from heritage.tally.services.rules import (
    hold,
    require_open,
    require_same_demonstration,
)


@transaction.atomic
def log_own(
    *,
    gathering: Gathering,
    volunteer: Volunteer,
    beets: int,
    by: User,
    now: datetime,
    way: str = Way.HAND,
    note: str = "",
    key: uuid.UUID | None = None,
) -> OwnLog:
    """Keep what a volunteer says they pulled, for a lead to confirm.

    Raises
    ------
    ValidationError
        If the count is out of range, the gathering is called off or has not begun,
        the person belongs to another demonstration, or whoever asks neither answers
        for them nor organises.
    """
    key = key or uuid.uuid4()
    hold(gathering)
    earlier = OwnLog.objects.filter(key=key).first()
    if earlier:
        return earlier
    require_open(gathering, now)
    require_same_demonstration(gathering, volunteer)
    require_own_word_or_organiser(volunteer, by)
    log = OwnLog(
        gathering=gathering,
        volunteer=volunteer,
        way=way,
        beets=beets,
        note=note,
        key=key,
        said_at=now,
        said_by=by,
    )
    log.full_clean()
    log.save()
    return log


@transaction.atomic
def answer_own(
    *, own_log: OwnLog, right_beets: int, reason: str, by: User, now: datetime
) -> Answer:
    """Confirm somebody's own log, in full or with another number, or not at all.

    Raises
    ------
    ValidationError
        If it was answered before, or the number is not theirs and no reason is given,
        or a lead would confirm their own.
    """
    hold(own_log.gathering)
    if Answer.objects.filter(own_log=own_log).exists():
        raise ValidationError(_("This log has been answered already."))
    if own_log.volunteer.user_id == by.pk:
        raise ValidationError(_("Somebody else confirms what you pulled yourself."))
    if right_beets < 0:
        raise ValidationError({"right_beets": _("Nobody pulls fewer than no beets.")})
    if right_beets != own_log.beets and not reason.strip():
        raise ValidationError({"reason": _("Say why it is not what they wrote.")})
    answer = Answer(
        own_log=own_log,
        reason=reason.strip(),
        answered_at=now,
        answered_by=by,
    )
    if right_beets:
        [answer.entry] = log_evening(
            gathering=own_log.gathering,
            counts={own_log.volunteer: right_beets},
            by=by,
            now=now,
            way=own_log.way,
            key=own_log.key,
            source=Source.OWN,
        )
    answer.full_clean()
    answer.save()
    return answer
