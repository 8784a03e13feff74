"""The places of those who have not come: freed by one press, given back if they come.

Nobody of them has withdrawn, and nobody is written to.
"""

from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.gatherings.models import Gathering, SignUp, SignUpStatus
from heritage.gatherings.services.locking import hold, require_lead
from heritage.gatherings.services.queue import (
    end_beside,
    fill,
    has_adult,
    make_room,
)
from heritage.people.models import User, Volunteer


@transaction.atomic
def free_places(*, gathering: Gathering, by: User, now: datetime) -> list[SignUp]:
    """Free every place whose holder has not come; who waits and is here moves up.

    With an adult's place go those of the children who come only with them, also where
    a child has come: it is here, without a station, and the lead looks who is with it.

    Raises
    ------
    ValidationError
        While people are still given time to come, and once the gathering is over.
    """
    gathering = hold(gathering)
    require_lead(gathering, by)
    if not gathering.is_posted:
        raise ValidationError(_("This gathering is not going on."))
    if now < gathering.grace_ends_at:
        begins = gathering.grace_ends_at.astimezone(gathering.demonstration.zone)
        raise ValidationError(
            _("Places are kept until %s for those who are late.") % f"{begins:%H:%M}"
        )
    if now >= gathering.ends_at:
        raise ValidationError(_("This gathering is over."))
    held = gathering.sign_ups.held().for_page()
    freed: dict[int, SignUp] = {}
    for entry in held.not_among(gathering.turnout.all()):
        beside = end_beside(gathering, entry.volunteer, SignUpStatus.NOT_COME, now)
        entry.status, entry.changed_at = SignUpStatus.NOT_COME, now
        entry.answer_by = None
        entry.save(update_fields=["status", "changed_at", "answer_by"])
        freed |= {one.pk: one for one in (entry, *beside)}
    for station in {entry.station for entry in freed.values()}:
        fill(gathering, station, now)
    return list(freed.values())


def take_back_in(gathering: Gathering, volunteer: Volunteer, at: datetime) -> None:
    """Give somebody who came late their place again, where there is room.

    Where there is none they are here without a station, and the lead gives them one.
    Called with the gathering held.
    """
    entry = gathering.sign_ups.not_come().by(volunteer).first()
    # A time put right to before the start is no reason to call anybody from home.
    moment = max(at, gathering.starts_at)
    if entry is None or not has_adult(gathering, volunteer):
        return
    if not make_room(gathering, entry.station, moment):
        return
    entry.status, entry.changed_at = SignUpStatus.HELD, moment
    entry.full_clean()
    entry.save(update_fields=["status", "changed_at"])
    here = gathering.turnout.here_at(moment).values_list("volunteer", flat=True)
    for child in gathering.sign_ups.not_come().only_with(volunteer).by_any(here):
        take_back_in(gathering, child.volunteer, at)
