"""The gate: somebody comes, somebody goes, one press each."""

from datetime import datetime, timedelta

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.gatherings.models import Gathering, Turnout
from heritage.gatherings.services.locking import hold, require_lead
from heritage.gatherings.services.turnout import record_turnout
from heritage.people.models import User, Volunteer
from heritage.people.services import add_volunteer

# The gate is kept from when the first things are carried out to the last load home.
OPENS = timedelta(hours=2)
CLOSES = timedelta(hours=6)


@transaction.atomic
def arrive(
    *, gathering: Gathering, volunteer: Volunteer, by: User, now: datetime
) -> Turnout:
    """Write down that somebody comes now; who went and comes again is here again."""
    gathering = _open_gate(gathering, by, now)
    row = gathering.turnout.by(volunteer).first()
    came = min(row.arrived_at, now) if row else now
    return record_turnout(
        gathering=gathering, volunteer=volunteer, arrived_at=came, left_at=None, by=by
    )


@transaction.atomic
def depart(
    *, gathering: Gathering, volunteer: Volunteer, by: User, now: datetime
) -> Turnout:
    """Write down that somebody goes home now; the first time said stands."""
    gathering = _open_gate(gathering, by, now)
    row = gathering.turnout.by(volunteer).first()
    if row is None:
        raise ValidationError(
            _("%s is not on the list yet: say first that they came.") % volunteer
        )
    if row.left_at and row.left_at <= now:
        return row
    return record_turnout(
        gathering=gathering,
        volunteer=volunteer,
        arrived_at=min(row.arrived_at, now),
        left_at=now,
        by=by,
    )


@transaction.atomic
def arrive_new(*, gathering: Gathering, name: str, by: User, now: datetime) -> Turnout:
    """Write in somebody nobody knew, by a name said at the gate."""
    gathering = _open_gate(gathering, by, now)
    name = " ".join(name.split())
    if not name:
        raise ValidationError({"name": _("Write the name.")})
    person = add_volunteer(demonstration=gathering.demonstration, name=name, now=now)
    return arrive(gathering=gathering, volunteer=person, by=by, now=now)


def _open_gate(gathering: Gathering, by: User, now: datetime) -> Gathering:
    gathering = hold(gathering)
    require_lead(gathering, by)
    if not gathering.starts_at - OPENS <= now <= gathering.ends_at + CLOSES:
        raise ValidationError(
            _("The gate is not open now. Write the times into the list instead.")
        )
    return gathering
