"""Somebody who came, told by a phone that had no signal to ask who they are.

Nothing that such a phone counted may be lost, and nobody may silently become two. A
name that is nobody's makes a new line. A name that only one person bears, who is not
on tonight's list, is theirs. Any other is written on a line of its own, which the
lead settles afterwards.
"""

from datetime import datetime
from typing import NamedTuple

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.gatherings.models import Gathering
from heritage.gatherings.selectors.names import named
from heritage.gatherings.services.locking import hold, require_lead
from heritage.gatherings.services.turnout import record_turnout
from heritage.people.models import AgeBand, User, Volunteer
from heritage.people.services import add_volunteer


class Told(NamedTuple):
    """Whose line a name came to: known, new, or kept apart from a namesake's."""

    volunteer: Volunteer
    is_known: bool
    is_apart: bool


@transaction.atomic
def write_in_by_name(
    *, gathering: Gathering, name: str, by: User, at: datetime
) -> Told:
    """Put an adult on the list, by the name that was said in the field."""
    gathering = hold(gathering)
    require_lead(gathering, by)
    return _write_in(gathering, name, AgeBand.ADULT, None, by, at)


@transaction.atomic
def write_child_in_by_name(
    *,
    gathering: Gathering,
    name: str,
    age_band: str,
    guardian: Volunteer,
    by: User,
    at: datetime,
) -> Told:
    """Put a child on the list who came with an adult who was here then.

    Raises
    ------
    ValidationError
        If it says no child's age, or the adult was not here.
    """
    gathering = hold(gathering)
    require_lead(gathering, by)
    if age_band not in AgeBand.values or age_band == AgeBand.ADULT:
        raise ValidationError(_("Say how old the child is."))
    require_beside(gathering, guardian, at)
    return _write_in(gathering, name, age_band, guardian, by, at)


def require_beside(gathering: Gathering, guardian: Volunteer, at: datetime) -> None:
    """Refuse to take a child whose adult is not here."""
    if not gathering.turnout.here_at(at).by(guardian).exists():
        words = _(
            "%s is not here. A child stays beside the adult who answers for them."
        )
        raise ValidationError({"guardian": words % guardian})


def _write_in(
    gathering: Gathering,
    name: str,
    age_band: str,
    guardian: Volunteer | None,
    by: User,
    at: datetime,
) -> Told:
    name = " ".join(name.split())
    if not name:
        raise ValidationError({"name": _("Write the name.")})
    namesakes = named(gathering, name)
    known = _the_one(gathering, namesakes, guardian)
    person = known or add_volunteer(
        demonstration=gathering.demonstration,
        name=name,
        now=at,
        age_band=age_band,
        guardian=guardian,
    )
    record_turnout(
        gathering=gathering, volunteer=person, arrived_at=at, left_at=None, by=by
    )
    return Told(person, known is not None, bool(namesakes) and known is None)


def _the_one(
    gathering: Gathering, namesakes: list[Volunteer], guardian: Volunteer | None
) -> Volunteer | None:
    """Return the one person who can be meant, if there is one.

    Not somebody who is on tonight's list, for then two may be meant; and not a child
    for an adult, nor one whom another adult answers for.
    """
    if len(namesakes) != 1:
        return None
    person = namesakes[0]
    theirs = guardian.pk if guardian else None
    if person.guardian_id != theirs or gathering.turnout.by(person).exists():
        return None
    return person
