"""Taking a place, answering for it, giving it up, moving between stations."""

from datetime import datetime
from functools import partial
from typing import Literal

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.gatherings import mail
from heritage.gatherings.models import Gathering, SignUp, SignUpStatus, Station
from heritage.gatherings.selectors import known_of, refusal
from heritage.gatherings.services.locking import (
    hold,
    require_answerable,
    require_lead,
    require_open,
)
from heritage.gatherings.services.queue import (
    end_beside,
    fill,
    has_adult,
    make_room,
    settle,
)
from heritage.people.models import User, Volunteer

# What becomes of the children who come only with whoever gives a place up: it is
# asked, they go too or, where the same person has another place there, they stay.
Children = Literal["ask", "too", "stay"]


@transaction.atomic
def sign_up(
    *, station: Station, volunteer: Volunteer, by: User, now: datetime
) -> SignUp:
    """Give somebody a place at a station or, if it is full, the next turn.

    Raises
    ------
    ValidationError
        With the reason and how to mend it; its code is ``briefing`` where hearing
        the station's briefing would.
    """
    gathering = hold(station.gathering)
    station = fresh(station, gathering)
    require_open(gathering, now)
    require_free(gathering, volunteer, by)
    require_fit(station, gathering, volunteer, may_wait=True)
    return enter(gathering, station, volunteer, now)


@transaction.atomic
def answer(
    *,
    sign_up: SignUp,
    comes: bool,
    by: User,
    now: datetime,
    children: Children = "ask",
) -> SignUp:
    """Say whether somebody who moved up comes; without them the next moves up."""
    if not comes:
        return give_up(sign_up=sign_up, by=by, now=now, children=children)
    gathering, entry = _held_entry(sign_up)
    require_answerable(gathering, entry.volunteer, by)
    if entry.status != SignUpStatus.HELD:
        raise ValidationError(
            _("The place has gone to the next. Ask for it again, and you wait for it.")
        )
    if entry.answer_by is not None:
        entry.answer_by, entry.changed_at = None, now
        entry.save(update_fields=["answer_by", "changed_at"])
    settle(gathering, now)
    return entry


@transaction.atomic
def give_up(
    *, sign_up: SignUp, by: User, now: datetime, children: Children = "ask"
) -> SignUp:
    """Give a place or a turn back; the first in the queue moves up.

    Raises
    ------
    ValidationError
        With the code ``children`` where children come only with them, and nobody has
        said what is to become of their places.
    """
    gathering, entry = _held_entry(sign_up)
    require_answerable(gathering, entry.volunteer, by)
    if entry.status == SignUpStatus.GIVEN_UP:
        return entry
    if now >= gathering.ends_at:
        raise ValidationError(_("This gathering is over."))
    beside = list(gathering.sign_ups.live().only_with(entry.volunteer))
    if children == "ask":
        _require_nobody_left(entry, beside)
    had = [one.pk for one in [entry, *beside] if one.is_held]
    going = [entry]
    if children == "too":
        going += end_beside(gathering, entry.volunteer, SignUpStatus.GIVEN_UP, now)
    entry.status, entry.changed_at = SignUpStatus.GIVEN_UP, now
    entry.answer_by = None
    entry.save(update_fields=["status", "changed_at", "answer_by"])
    left = [one for one in going if one.pk in had]
    for one in left:
        transaction.on_commit(partial(mail.gave_up, one.pk))
    for station in dict.fromkeys(one.station for one in left):
        fill(gathering, station, now)
    settle(gathering, now)
    return entry


@transaction.atomic
def move(*, sign_up: SignUp, station: Station, by: User, now: datetime) -> SignUp:
    """Move somebody to a free place at another station of the same gathering."""
    gathering = hold(sign_up.gathering)
    require_lead(gathering, by)
    require_open(gathering, now)
    station = fresh(station, gathering)
    rows = gathering.sign_ups.live().select_related("volunteer", "station")
    entry = rows.filter(pk=sign_up.pk).first()
    if entry is None:
        raise ValidationError(_("They have given up their place."))
    if entry.station_id == station.pk:
        return entry
    require_fit(station, gathering, entry.volunteer)
    if not make_room(gathering, station, now):
        raise ValidationError(
            _("%s is full. Move somebody away from it first.") % station
        )
    left, held = entry.station, entry.status == SignUpStatus.HELD
    place(entry, station, now)
    if held:
        fill(gathering, left, now)
    return entry


def enter(
    gathering: Gathering, station: Station, volunteer: Volunteer, now: datetime
) -> SignUp:
    """Write somebody in who may be: a place or, if there is none, the next turn.

    The order of arrival is the order in which the lock let people in: whoever
    pressed a moment earlier but came to it later is not written before the others.
    """
    has_room = make_room(gathering, station, now) and has_adult(gathering, volunteer)
    asked = max(now, SignUp.objects.at(station).last_asked() or now)
    entry = SignUp(
        gathering=gathering,
        station=station,
        volunteer=volunteer,
        status=SignUpStatus.HELD if has_room else SignUpStatus.WAITING,
        asked_at=asked,
        changed_at=now,
    )
    entry.full_clean()
    entry.save()
    transaction.on_commit(partial(mail.signed_up, entry.pk))
    return entry


def place(entry: SignUp, station: Station, now: datetime) -> None:
    """Write somebody over to a station where there is room, and tell them."""
    entry.station, entry.status, entry.changed_at = station, SignUpStatus.HELD, now
    entry.save(update_fields=["station", "status", "changed_at"])
    entry.also.remove(station)
    transaction.on_commit(partial(mail.moved, entry.pk))


def fresh(station: Station, gathering: Gathering) -> Station:
    """Return a station of the gathering as it is now."""
    asks = gathering.stations.select_related("briefing", "competence")
    found = asks.filter(pk=station.pk).first()
    if found is None:
        raise ValidationError(_("That station belongs to another gathering."))
    return found


def require_free(gathering: Gathering, volunteer: Volunteer, by: User) -> None:
    """Refuse whoever may not be signed up by the asker, or is signed up already."""
    require_answerable(gathering, volunteer, by)
    if gathering.sign_ups.live().by(volunteer).exists():
        raise ValidationError(_("%s is signed up already.") % volunteer)


def require_fit(
    station: Station,
    gathering: Gathering,
    volunteer: Volunteer,
    *,
    may_wait: bool = False,
) -> None:
    """Refuse whoever may not work at a station or, if that is enough, wait for it."""
    known = known_of([volunteer], gathering, [station])
    found = refusal(station, gathering, volunteer, known)
    if found and not (may_wait and found.may_wait):
        raise ValidationError(found.reason, code=found.code)


def _require_nobody_left(entry: SignUp, beside: list[SignUp]) -> None:
    """Refuse to leave a child's place without the adult they come with."""
    if beside:
        words = _("%(children)s, under 13, cannot come without %(adult)s.")
        names = ", ".join(str(one.volunteer) for one in beside)
        said = words % {"children": names, "adult": entry.volunteer}
        raise ValidationError(said, code="children")


def _held_entry(sign_up: SignUp) -> tuple[Gathering, SignUp]:
    """Hold the gathering of a sign-up, and read the row as it is then."""
    gathering = hold(sign_up.gathering)
    rows = gathering.sign_ups.select_related("volunteer", "station")
    return gathering, rows.get(pk=sign_up.pk)
