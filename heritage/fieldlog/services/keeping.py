"""What each kind of slip does to the books of the trades below."""

import uuid
from collections.abc import Callable
from datetime import datetime
from typing import NamedTuple

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

import heritage.dam.services as dam
import heritage.gatherings.services as gatherings
import heritage.pictures.services as pictures
import heritage.tally.services as tally
from heritage.dam.models import Ret
from heritage.fieldlog.models import FieldNote, Kind, Receipt
from heritage.fieldlog.services.sky import hear_thunder
from heritage.fieldlog.services.slips import Slip
from heritage.gatherings.models import Gathering
from heritage.kits.imaging import Prepared
from heritage.people.models import User, Volunteer
from heritage.pictures.models import Licence, Shown

MOST_BEETS = 100
# What a dam's book takes, in °C.
COLDEST, HOTTEST = -5, 60


class Kept(NamedTuple):
    """What became of a slip, in words, and of whom it speaks."""

    words: str
    volunteer: Volunteer | None = None


class Desk(NamedTuple):
    """Where a slip is dealt with: at which gathering, by whom, and for what time."""

    gathering: Gathering
    slip: Slip
    by: User
    at: datetime
    now: datetime
    prepared: Prepared | None = None


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
    name = desk.slip.text("name", 120)
    if not name:
        raise ValidationError(_("Write a name."))
    row = gatherings.write_in(
        gathering=desk.gathering,
        by=desk.by,
        now=desk.at,
        name=name,
        even_if_known=True,
    )
    # The field page says when they leave; nobody is written out in advance.
    _record(desk, row.volunteer, desk.at, None)
    return Kept(_("%s is written in.") % row.volunteer, row.volunteer)


def beets(desk: Desk) -> Kept:
    """Credit somebody with the beets that were tapped."""
    person, count = person_of(desk), desk.slip.whole("count")
    if not 1 <= count <= MOST_BEETS:
        raise ValidationError(
            _("One entry from the field holds 1 to %d beets.") % MOST_BEETS
        )
    tally.log_beets(
        gathering=desk.gathering,
        volunteer=person,
        beets=count,
        by=desk.by,
        now=desk.at,
        key=desk.slip.key,
    )
    words = ngettext(
        "%(count)d beet for %(who)s.", "%(count)d beets for %(who)s.", count
    )
    return Kept(words % {"count": count, "who": person}, person)


def uncount(desk: Desk) -> Kept:
    """Take a count back by a counter-entry: the book keeps both."""
    entry = desk.gathering.entries.filter(key=_key(desk.slip, "of")).first()
    if entry is None:
        raise ValidationError(_("Those beets are not in the book: nothing to undo."))
    tally.correct(
        entry=entry,
        right_beets=0,
        reason=_("taken back in the field"),
        by=desk.by,
        now=desk.at,
    )
    words = _("%(count)d taken back from %(who)s.")
    return Kept(words % {"count": entry.beets, "who": entry.volunteer}, entry.volunteer)


def note(desk: Desk) -> Kept:
    """Write a note into the evening's book."""
    row = FieldNote(
        gathering=desk.gathering,
        text=desk.slip.text("text", 1000),
        at=desk.at,
        by=desk.by,
    )
    if not row.text:
        raise ValidationError(_("The note is empty."))
    row.full_clean()
    row.save()
    return Kept(_("The note is kept."))


def temperature(desk: Desk) -> Kept:
    """Give a water temperature to the ret it was read in."""
    rets = Ret.objects.of(desk.gathering.demonstration)
    ret = rets.filter(pk=desk.slip.whole("ret")).first()
    if ret is None:
        raise ValidationError(_("That ret is not of this demonstration."))
    degrees = desk.slip.decimal("temp_c")
    if not COLDEST <= degrees <= HOTTEST:
        raise ValidationError(_("No dam is at %s °C: read it again.") % degrees)
    dam.add_reading(ret=ret, at=desk.at, temp_c=degrees, user=desk.by, now=desk.now)
    return Kept(_("The water: %s °C.") % degrees)


def thunder(desk: Desk) -> Kept:
    """Write down that thunder was heard: the wait of thirty minutes starts anew."""
    hear_thunder(gathering=desk.gathering, by=desk.by, at=desk.at)
    return Kept(_("Thunder is written down."))


def picture(desk: Desk) -> Kept:
    """Put a photograph into the record: hidden until those in it were asked."""
    caption = desk.slip.text("caption", 300)
    if desk.slip.photograph is None or desk.prepared is None:
        raise ValidationError(_("The photograph did not come with it."))
    if not caption:
        raise ValidationError(_("Say in a few words what the photograph shows."))
    pictures.add_picture(
        demonstration=desk.gathering.demonstration,
        original=desk.slip.photograph,
        prepared=desk.prepared,
        said={
            "stage": desk.gathering.stage,
            "gathering": desk.gathering,
            "caption": caption,
            "alt_text": desk.slip.text("alt_text", 400) or caption,
            "taken_on": None,
            "credit": desk.by.name or desk.by.email,
            "licence": Licence.RESERVED,
            "shown": Shown.UNASKED,
        },
        user=desk.by,
        now=desk.now,
    )
    return Kept(_("The photograph is in the record; nobody else sees it yet."))


KEEPERS: dict[Kind, Callable[[Desk], Kept]] = {
    Kind.CAME: came,
    Kind.STRUCK: struck,
    Kind.LEFT: left,
    Kind.STAYED: stayed,
    Kind.WALK_IN: walk_in,
    Kind.BEETS: beets,
    Kind.UNCOUNT: uncount,
    Kind.NOTE: note,
    Kind.TEMPERATURE: temperature,
    Kind.THUNDER: thunder,
    Kind.PICTURE: picture,
}


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


def person_of(desk: Desk) -> Volunteer:
    """Return whom a slip speaks of: by number, or by the slip that wrote them in."""
    said = str(desk.slip.data.get("person", ""))
    people = Volunteer.objects.of(desk.gathering.demonstration).active()
    if said.isdecimal() and len(said) < 10:
        person = people.filter(pk=int(said)).first()
        person = person or people.filter(merged_from=int(said)).first()
    else:
        written_in = Receipt.objects.keyed(_key(desk.slip, "person")).walk_ins()
        person = people.filter(pk__in=written_in.values("volunteer")).first()
    if person is None:
        raise ValidationError(_("Nobody of that name is a volunteer here now."))
    return person


def _key(slip: Slip, name: str) -> uuid.UUID:
    try:
        return uuid.UUID(str(slip.data.get(name)))
    except ValueError as error:
        raise ValidationError(_("It does not say what it belongs to.")) from error
