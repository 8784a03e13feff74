"""Who came, from when to when."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.gatherings.models import Awaited, Gathering, Turnout
from heritage.gatherings.selectors.names import named
from heritage.gatherings.services.locking import hold, require_lead, require_on_list
from heritage.gatherings.services.no_shows import take_back_in
from heritage.people.models import User, Volunteer
from heritage.people.services import add_volunteer


@dataclass(frozen=True, slots=True)
class Mark:
    """What the turnout list says of one person; without times they did not come."""

    volunteer: Volunteer
    arrived_at: datetime | None
    left_at: datetime | None


@transaction.atomic
def record_turnout(
    *,
    gathering: Gathering,
    volunteer: Volunteer,
    arrived_at: datetime,
    left_at: datetime | None,
    by: User,
) -> Turnout:
    """Write down that somebody came, or put their times right."""
    gathering = hold(gathering)
    require_lead(gathering, by)
    if gathering.is_draft:
        raise ValidationError(_("This gathering has not been posted yet."))
    require_on_list(gathering, volunteer)
    row = gathering.turnout.by(volunteer).first() or Turnout(
        gathering=gathering, volunteer=volunteer
    )
    if left_at and left_at < arrived_at:
        raise ValidationError(_("%s cannot leave before they came.") % volunteer)
    row.arrived_at, row.left_at = arrived_at, left_at
    is_new = row.pk is None
    row.full_clean()
    row.save(update_fields=None if is_new else ["arrived_at", "left_at"])
    if is_new or left_at is None:
        _count_too(row)
    take_back_in(gathering, volunteer, arrived_at)
    return row


def _count_too(row: Turnout) -> None:
    """Put whoever comes while a head-count goes on among those to be counted."""
    for muster in row.gathering.musters.open():
        Awaited.objects.get_or_create(
            muster=muster,
            volunteer=row.volunteer,
            defaults={"since": row.arrived_at},
        )


@transaction.atomic
def record_list(*, gathering: Gathering, marks: Sequence[Mark], by: User) -> None:
    """Write down a whole list: who is unmarked is struck from it."""
    gathering = hold(gathering)
    require_lead(gathering, by)
    for mark in marks:
        if mark.arrived_at is None:
            gathering.turnout.by(mark.volunteer).delete()
        else:
            record_turnout(
                gathering=gathering,
                volunteer=mark.volunteer,
                arrived_at=mark.arrived_at,
                left_at=mark.left_at,
                by=by,
            )


def new_name(gathering: Gathering, name: str) -> str:
    """Return a name as it is kept, unless somebody bears it already.

    A button pressed twice would else make two people of one, and a head-count would
    look for somebody who is nowhere.
    """
    name = " ".join(name.split())
    if not name:
        raise ValidationError({"name": _("Write the name.")})
    known = named(gathering, name)
    if not known:
        return name
    here = any(gathering.turnout.by(person).exists() for person in known)
    words = (
        _("%s is on tonight's list already.")
        if here
        else _("%s is known already: press that name instead.")
    )
    more = _("If this is somebody else, add to the name what tells them apart.")
    raise ValidationError({"name": f"{words % known[0]} {more}"})


@transaction.atomic
def write_in(
    *,
    gathering: Gathering,
    by: User,
    now: datetime,
    volunteer: Volunteer | None = None,
    name: str = "",
) -> Turnout:
    """Put a walk-in on the list: somebody known, or a name heard at the gate."""
    gathering = hold(gathering)
    require_lead(gathering, by)
    if volunteer is None:
        volunteer = add_volunteer(
            demonstration=gathering.demonstration,
            name=new_name(gathering, name),
            now=now,
        )
    came = max(gathering.starts_at, min(now, gathering.ends_at))
    if now >= gathering.ends_at:
        came = gathering.starts_at
    return record_turnout(
        gathering=gathering,
        volunteer=volunteer,
        arrived_at=came,
        left_at=gathering.ends_at,
        by=by,
    )
