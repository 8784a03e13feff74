"""Where a slip is dealt with, and of whom it speaks."""

import uuid
from datetime import datetime
from typing import NamedTuple

from django.core.exceptions import ValidationError
from django.db.models import Q
from django.utils.translation import gettext as _

from heritage.fieldlog.models import Receipt
from heritage.fieldlog.services.slips import Slip
from heritage.gatherings.models import Gathering
from heritage.kits.imaging import Prepared
from heritage.people.models import User, Volunteer


class Kept(NamedTuple):
    """What became of a slip, in words, and of whom it speaks."""

    words: str
    volunteer: Volunteer | None = None
    # Written in apart from somebody of the same name, until a lead settles it.
    is_apart: bool = False


class Desk(NamedTuple):
    """Where a slip is dealt with: at which gathering, by whom, and for what time."""

    gathering: Gathering
    slip: Slip
    by: User
    at: datetime
    now: datetime
    prepared: Prepared | None = None


def person_of(desk: Desk, name: str = "person") -> Volunteer:
    """Return whom a slip speaks of: by number, or by the slip that wrote them in."""
    said = str(desk.slip.data.get(name, ""))
    people = Volunteer.objects.of(desk.gathering.demonstration).active()
    if said.isdecimal() and len(said) < 10:
        person = people.filter(pk=int(said)).first()
        person = person or people.filter(merged_from=int(said)).first()
    else:
        written_in = Receipt.objects.keyed(key_of(desk.slip, name)).walk_ins()
        person = people.filter(pk__in=written_in.values("volunteer")).first()
    if person is None:
        raise ValidationError(_("Nobody of that name is a volunteer here now."))
    return person


def people_of(desk: Desk, name: str) -> list[Volunteer]:
    """Return those whom a slip names in a list; whom nobody knows is passed over."""
    said = desk.slip.data.get(name)
    names = {str(one) for one in said} if isinstance(said, list) else set()
    numbers = [int(one) for one in names if one.isdecimal() and len(one) < 10]
    keys = [one for one in map(_key, names) if one]
    written_in = Receipt.objects.filter(key__in=keys).walk_ins()
    told = (
        Q(pk__in=numbers)
        | Q(merged_from__in=numbers)
        | Q(pk__in=written_in.values("volunteer"))
    )
    people = Volunteer.objects.of(desk.gathering.demonstration).active()
    return list(people.filter(told).distinct())


def _key(said: str) -> uuid.UUID | None:
    try:
        return uuid.UUID(said)
    except ValueError:
        return None


def key_of(slip: Slip, name: str) -> uuid.UUID:
    try:
        return uuid.UUID(str(slip.data.get(name)))
    except ValueError as error:
        raise ValidationError(_("It does not say what it belongs to.")) from error
