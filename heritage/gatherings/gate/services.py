"""The gate: who comes, who goes, who is here, and everybody out.

Nothing that a phone without a signal counted may be lost, and nobody may silently
become two. A name that is nobody's makes a new line. A name that only one person
bears, who is not on tonight's list, is theirs. Any other is written on a line of its
own, which the lead settles afterwards.

A place freed because its holder has not come is theirs again if they come while there
is room: nobody of them has withdrawn, and nobody is written to.

A head-count is a list, not a comparison of times. Who is to be counted is written down
at the press (`Awaited`); it only grows until the count ends. Over-counting costs a
look, under-counting a life.
"""

import uuid
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import NamedTuple

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.common.rows import fill_in
from heritage.gatherings.asked.selectors import standing_still
from heritage.gatherings.gate.selectors import not_seen
from heritage.gatherings.ground.selectors import named
from heritage.gatherings.ground.services import (
    lock_gathering,
    require_lead,
    require_on_list,
)
from heritage.gatherings.models import (
    Awaited,
    Gathering,
    Muster,
    Safe,
    SignUp,
    SignUpStatus,
    Station,
    Turnout,
)
from heritage.gatherings.places.services import (
    end_beside,
    fill,
    fresh,
    has_adult,
    make_room,
    require_fit,
)
from heritage.people.models import AgeBand, User, Volunteer
from heritage.people.services import add_volunteer


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
    gathering = lock_gathering(gathering)
    require_lead(gathering, by)
    if not gathering.is_posted:
        raise ValidationError(_("This gathering isn't on."))
    if now < gathering.grace_ends_at:
        begins = gathering.grace_ends_at.astimezone(gathering.demonstration.zone)
        raise ValidationError(
            _("Places are kept for latecomers until %s.") % f"{begins:%H:%M}"
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
    Called with the gathering locked.
    """
    entry = gathering.sign_ups.not_come().by(volunteer).first()
    # A time corrected to before the start is no reason to call anybody from home.
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
    """Write down that somebody came, or correct their times."""
    gathering = lock_gathering(gathering)
    require_lead(gathering, by)
    if gathering.is_draft:
        raise ValidationError(_("This gathering isn't posted yet."))
    require_on_list(gathering, volunteer)
    row = gathering.turnout.by(volunteer).first() or Turnout(
        gathering=gathering, volunteer=volunteer
    )
    if left_at and left_at < arrived_at:
        raise ValidationError(
            _("%s can't leave before coming. Check both times.") % volunteer
        )
    row.arrived_at, row.left_at = arrived_at, left_at
    is_new = row.pk is None
    row.full_clean()
    row.save(update_fields=None if is_new else ["arrived_at", "left_at"])
    if is_new or left_at is None:
        _count_too(row)
    take_back_in(gathering, volunteer, arrived_at)
    return row


def _count_too(row: Turnout) -> None:
    """Put those who come while a head-count goes on among those to be counted."""
    for muster in row.gathering.musters.open():
        Awaited.objects.get_or_create(
            muster=muster,
            volunteer=row.volunteer,
            defaults={"since": row.arrived_at},
        )


@transaction.atomic
def record_list(*, gathering: Gathering, marks: Sequence[Mark], by: User) -> None:
    """Write down a whole list: who is unmarked is struck from it."""
    gathering = lock_gathering(gathering)
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


def _as_kept(name: str) -> str:
    """Return a name as it is kept, or ask for one."""
    name = " ".join(name.split())
    if not name:
        raise ValidationError({"name": _("Enter a name.")})
    return name


def new_name(gathering: Gathering, name: str) -> str:
    """Return a name as it is kept, unless somebody bears it already.

    A button pressed twice would else make two people of one, and a head-count would
    look for somebody who is nowhere.
    """
    name = _as_kept(name)
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
    gathering = lock_gathering(gathering)
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


class WrittenIn(NamedTuple):
    """Whose line a name came to: known, new, or kept apart from a namesake's."""

    volunteer: Volunteer
    is_known: bool
    is_apart: bool


@transaction.atomic
def write_in_by_name(
    *,
    gathering: Gathering,
    name: str,
    by: User,
    at: datetime,
    age_band: str = AgeBand.ADULT,
    guardian: Volunteer | None = None,
) -> WrittenIn:
    """Put somebody on the list by the name that a phone sent; it cannot be asked.

    A child comes with an adult (``guardian``) who was here then.

    Raises
    ------
    ValidationError
        If it says no child's age, or the adult was not here.
    """
    gathering = lock_gathering(gathering)
    require_lead(gathering, by)
    if guardian is not None:
        if age_band not in AgeBand.values or age_band == AgeBand.ADULT:
            raise ValidationError(_("Choose how old the child is."))
        require_beside(gathering, guardian, at)
    name = _as_kept(name)
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
    return WrittenIn(person, known is not None, bool(namesakes) and known is None)


def require_beside(gathering: Gathering, guardian: Volunteer, at: datetime) -> None:
    """Refuse to take a child whose adult is not here."""
    if not gathering.turnout.here_at(at).by(guardian).exists():
        words = _(
            "%s is not here. A child stays beside the adult who answers for them."
        )
        raise ValidationError({"guardian": words % guardian})


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


@transaction.atomic
def close(*, gathering: Gathering, by: User, now: datetime) -> Gathering:
    """Close what is over: who came, and what it brought, was gone through.

    Raises
    ------
    ValidationError
        While it goes on, and while a head-count is open.
    """
    gathering = lock_gathering(gathering)
    require_lead(gathering, by)
    if now < gathering.ends_at:
        raise ValidationError(_("It's still on. Close it once it's over."))
    if gathering.musters.open().exists():
        raise ValidationError(_("A head-count is still open. End it first."))
    gathering.closed_at = gathering.closed_at or now
    gathering.save(update_fields=["closed_at"])
    return gathering


@transaction.atomic
def count_visitors(*, gathering: Gathering, visitors: int | None, by: User) -> None:
    """Note how many came to look; none where nobody counted.

    Raises
    ------
    ValidationError
        If ``by`` may not lead it.
    """
    gathering = lock_gathering(gathering)
    require_lead(gathering, by)
    gathering.visitors = visitors
    gathering.save(update_fields=["visitors"])


# The gate is kept from when the first things are carried out to the last load home.
OPENS = timedelta(hours=2)
CLOSES = timedelta(hours=6)


@transaction.atomic
def arrive(
    *,
    gathering: Gathering,
    volunteer: Volunteer,
    by: User,
    now: datetime,
    said_at: datetime | None = None,
) -> Turnout:
    """Write down that somebody comes; who went and comes again is here again.

    What a phone sends counts for when it was said there (``said_at``). Of two arrivals
    the earlier stands, and one that was long on its way does not bring back somebody
    who left since.
    """
    gathering = _gate(gathering, by, now, said_at)
    at = said_at or now
    row = gathering.turnout.by(volunteer).first()
    left = row.left_at if row and said_at else None
    return record_turnout(
        gathering=gathering,
        volunteer=volunteer,
        arrived_at=min(row.arrived_at, at) if row else at,
        left_at=left if left and left > at else None,
        by=by,
    )


@transaction.atomic
def depart(
    *,
    gathering: Gathering,
    volunteer: Volunteer,
    by: User,
    now: datetime,
    said_at: datetime | None = None,
) -> Turnout:
    """Write down that somebody goes home.

    At the gate the first time said stands. A phone says it of somebody it showed as
    here, so its own stands; one before they came is refused, and they stay counted.
    """
    gathering = _gate(gathering, by, now, said_at)
    row = _arrived(gathering, volunteer)
    if said_at is None and row.left_at and row.left_at <= now:
        return row
    return record_turnout(
        gathering=gathering,
        volunteer=volunteer,
        arrived_at=row.arrived_at if said_at else min(row.arrived_at, now),
        left_at=said_at or now,
        by=by,
    )


@transaction.atomic
def stay(*, gathering: Gathering, volunteer: Volunteer, by: User) -> Turnout:
    """Take back that somebody went."""
    gathering = lock_gathering(gathering)
    require_lead(gathering, by)
    arrived_at = _arrived(gathering, volunteer).arrived_at
    return record_turnout(
        gathering=gathering,
        volunteer=volunteer,
        arrived_at=arrived_at,
        left_at=None,
        by=by,
    )


def _arrived(gathering: Gathering, volunteer: Volunteer) -> Turnout:
    row = gathering.turnout.by(volunteer).first()
    if row is None:
        raise ValidationError(
            _("%s isn't marked as here yet. Do that first.") % volunteer
        )
    return row


@transaction.atomic
def arrive_new(
    *,
    gathering: Gathering,
    name: str,
    by: User,
    now: datetime,
    age_band: str = AgeBand.ADULT,
    guardian: Volunteer | None = None,
) -> Turnout:
    """Write in somebody nobody knew, by a name said at the gate."""
    gathering = _gate(gathering, by, now)
    person = add_volunteer(
        demonstration=gathering.demonstration,
        name=new_name(gathering, name),
        now=now,
        age_band=age_band,
        guardian=guardian,
    )
    return arrive(gathering=gathering, volunteer=person, by=by, now=now)


@transaction.atomic
def arrive_child(
    *,
    gathering: Gathering,
    name: str,
    age_band: str,
    guardian: Volunteer,
    by: User,
    now: datetime,
) -> Turnout:
    """Write in a child nobody knew, who came with an adult who is here."""
    gathering = _gate(gathering, by, now)
    if age_band == AgeBand.ADULT:
        raise ValidationError({"age_band": _("Add an adult as a new name.")})
    require_beside(gathering, guardian, now)
    return arrive_new(
        gathering=gathering,
        name=name,
        by=by,
        now=now,
        age_band=age_band,
        guardian=guardian,
    )


@transaction.atomic
def put_at(
    *,
    gathering: Gathering,
    volunteer: Volunteer,
    station: Station,
    by: User,
    now: datetime,
) -> SignUp:
    """Give somebody who is here a station now, whether or not they had a place.

    The station asks of them what it asks of everybody: their age, what they can do,
    and that they have heard its briefing. At a machine every guard was seen in its
    place that day. Nobody is written to: they stand there.

    Raises
    ------
    ValidationError
        With the reason and how to mend it; its code is ``briefing`` where hearing
        the station's briefing would.
    """
    gathering = _gate(gathering, by, now)
    if not gathering.is_posted:
        raise ValidationError(_("This gathering isn't on."))
    if not gathering.turnout.here_at(now).by(volunteer).exists():
        raise ValidationError(
            _("%s isn't marked as here yet. Do that first.") % volunteer
        )
    station = fresh(station, gathering)
    require_fit(station, gathering, volunteer)
    if still := standing_still(gathering, [station]).get(station.pk):
        raise ValidationError(still.reason, code=still.code)
    has_room = make_room(gathering, station, now)
    # Making room may have moved them up just now.
    entry = _entry(gathering, volunteer)
    if not has_room and not _holds(entry, station):
        raise ValidationError(_full(gathering, station))
    return _stand(entry, gathering, volunteer, station, now)


def _entry(gathering: Gathering, volunteer: Volunteer) -> SignUp | None:
    rows = gathering.sign_ups.standing().by(volunteer)
    return rows.select_related("station").first()


def _holds(entry: SignUp | None, station: Station) -> bool:
    """Tell whether a place at the station is theirs already."""
    return (
        entry is not None
        and entry.status == SignUpStatus.HELD
        and entry.station_id == station.pk
    )


def _full(gathering: Gathering, station: Station) -> str:
    """Say that a station is full, and of whose place nobody has seen the holder."""
    away = gathering.sign_ups.at(station).held().not_among(gathering.turnout.all())
    names = [str(row.volunteer) for row in away.for_page()]
    if not names:
        words = _("%s is full. Move somebody first.")
        return words % station
    words = _(
        "%(station)s is full. Not come yet: %(names)s. From %(from)s their places can "
        "be freed at the gate; before, take one off the list."
    )
    free_from = gathering.grace_ends_at.astimezone(gathering.demonstration.zone)
    values = {"names": ", ".join(names), "from": f"{free_from:%H:%M}"}
    return words % {"station": station, **values}


def _stand(
    entry: SignUp | None,
    gathering: Gathering,
    volunteer: Volunteer,
    station: Station,
    now: datetime,
) -> SignUp:
    """Write down that somebody works at a station where there is room."""
    if entry is None:
        entry = SignUp(gathering=gathering, volunteer=volunteer, asked_at=now)
    left = entry.station if entry.pk and entry.status == SignUpStatus.HELD else None
    entry.station, entry.status, entry.changed_at = station, SignUpStatus.HELD, now
    # Who stands here has answered.
    entry.answer_by = None
    entry.full_clean()
    entry.save()
    entry.also.remove(station)
    if left is not None and left != station:
        fill(gathering, left, now)
    return entry


def _gate(
    gathering: Gathering, by: User, now: datetime, said_at: datetime | None = None
) -> Gathering:
    """Lock the gathering for its lead, while its gate is open.

    What was said on a phone is taken at any hour: nothing that it counted is lost.
    """
    gathering = lock_gathering(gathering)
    require_lead(gathering, by)
    if said_at is None and not _is_open(gathering, now):
        raise ValidationError(
            _("The gate isn't open now. Enter the times on the list instead.")
        )
    return gathering


def _is_open(gathering: Gathering, now: datetime) -> bool:
    return gathering.starts_at - OPENS <= now <= gathering.ends_at + CLOSES


@transaction.atomic
def call_everybody_out(
    *,
    gathering: Gathering,
    by: User,
    now: datetime,
    why: str = "",
    key: uuid.UUID | None = None,
    called_at: datetime | None = None,
    here: Iterable[Volunteer] = (),
) -> Muster:
    """Begin a head-count; while one is going on, calling again is the same one.

    Everybody whom the gate shows as here is to be counted, and everybody whom a phone
    showed as here when it was pressed there (``here``, ``called_at``).
    """
    gathering = lock_gathering(gathering)
    require_lead(gathering, by)
    key, shown = key or uuid.uuid4(), list(here)
    muster = gathering.musters.open().first() or gathering.musters.keyed(key).first()
    if muster is None:
        # Who stands in the field is counted at any hour.
        if gathering.is_draft or not (shown or _is_open(gathering, now)):
            raise ValidationError(
                _("Nobody is in the field now, so there's nobody to count.")
            )
        at = called_at or now
        values = {"key": key, "why": why.strip(), "called_at": at, "called_by": by}
        muster = fill_in(Muster(gathering=gathering), values)
    if muster.closed_at is None:
        rows = gathering.turnout.here_at(now).values_list("volunteer", flat=True)
        Awaited.objects.bulk_create(
            [
                Awaited(muster=muster, volunteer_id=person, since=muster.called_at)
                for person in {*rows, *(one.pk for one in shown)}
            ],
            ignore_conflicts=True,
        )
    return muster


@transaction.atomic
def see(*, muster: Muster, volunteer: Volunteer, by: User, now: datetime) -> Safe:
    """Tick somebody seen at the meeting point; two leads may both have seen them."""
    gathering = lock_gathering(muster.gathering)
    require_lead(gathering, by)
    if volunteer.demonstration_id != gathering.demonstration_id:
        raise ValidationError(_("Choose somebody on the list."))
    safe, _made = muster.safe.get_or_create(
        volunteer=volunteer, defaults={"seen_at": now, "seen_by": by}
    )
    return safe


@transaction.atomic
def see_new(
    *,
    muster: Muster,
    name: str,
    by: User,
    now: datetime,
    age_band: str = AgeBand.ADULT,
    guardian: Volunteer | None = None,
) -> Safe:
    """Tick somebody who was on no list: they are written in, and seen.

    A name that one person bears who has not been seen is theirs: nobody searches a
    list while they count. A child is written in with the adult who answers for them,
    or who stays with them now; that adult need not be on the list themselves.
    """
    lock_gathering(muster.gathering)
    known = named(muster.gathering, name)
    if len(known) == 1 and not muster.safe.of_person(known[0]).exists():
        if not muster.awaited.of_person(known[0]).exists():
            arrive(gathering=muster.gathering, volunteer=known[0], by=by, now=now)
        return see(muster=muster, volunteer=known[0], by=by, now=now)
    came = arrive_new(
        gathering=muster.gathering,
        name=name,
        by=by,
        now=now,
        age_band=age_band,
        guardian=guardian,
    )
    return see(muster=muster, volunteer=came.volunteer, by=by, now=now)


@transaction.atomic
def unsee(*, muster: Muster, volunteer: Volunteer, by: User) -> None:
    """Take back that somebody was seen: the wrong line was pressed."""
    gathering = lock_gathering(muster.gathering)
    require_lead(gathering, by)
    if muster.closed_at:
        raise ValidationError(_("This head-count has ended."))
    muster.safe.of_person(volunteer).delete()


@transaction.atomic
def end_head_count(
    *, muster: Muster, by: User, now: datetime, note: str = ""
) -> Muster:
    """End a head-count; with somebody not seen, only with words about them."""
    gathering = lock_gathering(muster.gathering)
    require_lead(gathering, by)
    muster = gathering.musters.get(pk=muster.pk)
    if muster.closed_at:
        return muster
    missing = not_seen(muster)
    if missing and not note.strip():
        names = ", ".join(person.name for person in missing)
        raise ValidationError(
            {"note": _("Not seen: %s. Say where they are before you end it.") % names}
        )
    muster.closed_at = max(now, muster.called_at)
    muster.closed_by, muster.note = by, note.strip()
    muster.full_clean()
    muster.save(update_fields=["closed_at", "closed_by", "note"])
    return muster
