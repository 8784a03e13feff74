"""What the slips of coming, going and where people work do."""

from collections.abc import Callable
from datetime import datetime

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

import heritage.gatherings.services as gatherings
import heritage.safety.services as safety
from heritage.fieldlog.models import Kind
from heritage.fieldlog.services.desk import Desk, Kept, person_of
from heritage.people.models import Volunteer
from heritage.safety.models import BriefingVersion


def came(desk: Desk) -> Kept:
    """Write down that somebody came; of two arrivals the earlier one stands."""
    person = person_of(desk)
    row = desk.gathering.turnout.by(person).first()
    arrived = min(row.arrived_at, desk.at) if row else desk.at
    # A slip that was long on its way does not bring back somebody who left since.
    left = row.left_at if row and row.left_at and row.left_at > desk.at else None
    _record(desk, person, arrived, left)
    return Kept(_("%s came.") % person, person)


def struck(desk: Desk) -> Kept:
    """Take somebody off the list: they were ticked by mistake."""
    person = person_of(desk)
    if desk.gathering.entries.filter(volunteer=person).beets():
        raise ValidationError(
            _("%s has beets in the book: take those back first.") % person
        )
    mark = gatherings.Mark(person, None, None)
    gatherings.record_list(gathering=desk.gathering, marks=[mark], by=desk.by)
    return Kept(_("%s is off the list.") % person, person)


def left(desk: Desk) -> Kept:
    """Write down that somebody went."""
    person = person_of(desk)
    _record(desk, person, _arrival(desk, person), desk.at)
    return Kept(_("%s left.") % person, person)


def stayed(desk: Desk) -> Kept:
    """Take back that somebody went."""
    person = person_of(desk)
    _record(desk, person, _arrival(desk, person), None)
    return Kept(_("%s is here.") % person, person)


def walk_in(desk: Desk) -> Kept:
    """Write in somebody who came without a place, by name."""
    told = gatherings.write_in_by_name(
        gathering=desk.gathering,
        name=desk.slip.text("name", 120),
        by=desk.by,
        at=desk.at,
    )
    return _told(told)


def child(desk: Desk) -> Kept:
    """Write in a child who came along with an adult who is here."""
    told = gatherings.write_child_in_by_name(
        gathering=desk.gathering,
        name=desk.slip.text("name", 120),
        age_band=desk.slip.text("age_band", 12),
        guardian=person_of(desk),
        by=desk.by,
        at=desk.at,
    )
    return _told(told)


def station(desk: Desk) -> Kept:
    """Give somebody who is here a station, by the rules of the gate.

    What was said before the start counts from the start if it came in after it: by
    then a free place goes to nobody who is still at home.
    """
    person = person_of(desk)
    chosen = desk.gathering.stations.filter(pk=desk.slip.whole("station")).first()
    if chosen is None:
        raise ValidationError(_("That station is no longer there. Choose another."))
    gatherings.put_at(
        gathering=desk.gathering,
        volunteer=person,
        station=chosen,
        by=desk.by,
        now=max(desk.at, min(desk.now, desk.gathering.starts_at)),
    )
    words = _("%(who)s is at %(station)s.") % {"who": person, "station": chosen}
    return Kept(words, person)


def heard(desk: Desk) -> Kept:
    """Write down that somebody heard a briefing: which words, read by whom, when."""
    person, reader = person_of(desk), person_of(desk, "reader")
    rows = BriefingVersion.objects.of(desk.gathering.demonstration)
    version = rows.filter(pk=desk.slip.whole("version")).first()
    if version is None:
        raise ValidationError(_("That briefing is no longer there. Read another."))
    safety.acknowledge_afterwards(
        version=version,
        volunteer=person,
        by=desk.by,
        heard_at=desk.at,
        read_by=reader,
    )
    words = _("%(who)s heard “%(what)s”, version %(number)d, read by %(reader)s.")
    said = {"who": person, "what": version.briefing, "number": version.number}
    return Kept(words % {**said, "reader": reader}, person)


COMERS: dict[Kind, Callable[[Desk], Kept]] = {
    Kind.CAME: came,
    Kind.STRUCK: struck,
    Kind.LEFT: left,
    Kind.STAYED: stayed,
    Kind.WALK_IN: walk_in,
    Kind.CHILD: child,
    Kind.STATION: station,
    Kind.HEARD: heard,
}


def _told(told: gatherings.Told) -> Kept:
    """Say whose line a name came to."""
    words = _("%s is written in.")
    if told.is_known:
        words = _("%s is known: taken as the one on the list.")
    if told.is_apart:
        words = _(
            "%s is written in on a line of its own: somebody of that name is known "
            "already. Say below whether they are the same."
        )
    return Kept(words % told.volunteer, told.volunteer, told.is_apart)


def _record(
    desk: Desk, person: Volunteer, arrived: datetime, left: datetime | None
) -> None:
    gatherings.record_turnout(
        gathering=desk.gathering,
        volunteer=person,
        arrived_at=arrived,
        left_at=left,
        by=desk.by,
    )


def _arrival(desk: Desk, person: Volunteer) -> datetime:
    row = desk.gathering.turnout.by(person).first()
    if row is None:
        raise ValidationError(
            _("%s is not on the list yet: say first that they came.") % person
        )
    return row.arrived_at
