"""Taking a place, giving it up, moving between stations."""

from datetime import datetime
from functools import partial

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.gatherings import mail
from heritage.gatherings.models import Gathering, SignUp, SignUpStatus, Station
from heritage.gatherings.selectors import refusal
from heritage.gatherings.services.locking import (
    hold,
    require_answerable,
    require_lead,
    require_open,
)
from heritage.people.models import User, Volunteer
from heritage.safety.selectors import briefings_heard


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
    station = _fresh(station, gathering)
    require_open(gathering, now)
    require_answerable(gathering, volunteer, by)
    if gathering.sign_ups.live().by(volunteer).exists():
        raise ValidationError(_("%s is signed up already.") % volunteer)
    _require_fit(station, gathering, volunteer)
    entry = SignUp(
        gathering=gathering,
        station=station,
        volunteer=volunteer,
        status=SignUpStatus.HELD if has_room(station) else SignUpStatus.WAITING,
        asked_at=now,
        changed_at=now,
    )
    entry.full_clean()
    entry.save()
    transaction.on_commit(partial(mail.signed_up, entry.pk))
    return entry


@transaction.atomic
def give_up(*, sign_up: SignUp, by: User, now: datetime) -> SignUp:
    """Give a place or a turn back; the first in the queue moves up."""
    gathering = hold(sign_up.gathering)
    entry = gathering.sign_ups.select_related("volunteer", "station").get(pk=sign_up.pk)
    require_answerable(gathering, entry.volunteer, by)
    if entry.status == SignUpStatus.GIVEN_UP:
        return entry
    if now >= gathering.ends_at:
        raise ValidationError(_("This gathering is over."))
    held = entry.status == SignUpStatus.HELD
    entry.status, entry.changed_at = SignUpStatus.GIVEN_UP, now
    entry.save(update_fields=["status", "changed_at"])
    if held:
        transaction.on_commit(partial(mail.gave_up, entry.pk))
        fill(gathering, entry.station, now)
    return entry


@transaction.atomic
def move(*, sign_up: SignUp, station: Station, by: User, now: datetime) -> SignUp:
    """Move somebody to a free place at another station of the same gathering."""
    gathering = hold(sign_up.gathering)
    require_lead(gathering, by)
    require_open(gathering, now)
    station = _fresh(station, gathering)
    rows = gathering.sign_ups.live().select_related("volunteer", "station")
    entry = rows.filter(pk=sign_up.pk).first()
    if entry is None:
        raise ValidationError(_("They have given up their place."))
    if entry.station_id == station.pk:
        return entry
    _require_fit(station, gathering, entry.volunteer)
    if not has_room(station):
        raise ValidationError(
            _("%s is full. Move somebody away from it first.") % station
        )
    left, held = entry.station, entry.status == SignUpStatus.HELD
    entry.station, entry.status, entry.changed_at = station, SignUpStatus.HELD, now
    entry.save(update_fields=["station", "status", "changed_at"])
    transaction.on_commit(partial(mail.moved, entry.pk))
    if held:
        fill(gathering, left, now)
    return entry


def has_room(station: Station) -> bool:
    """Tell whether a place is free that nobody in the queue is owed."""
    rows = SignUp.objects.at(station)
    return not rows.waiting().exists() and rows.held().count() < station.places


def fill(gathering: Gathering, station: Station, now: datetime) -> None:
    """Move the queue up into the places that are free; the gathering is held."""
    if gathering.is_called_off or gathering.is_draft or now >= gathering.ends_at:
        return
    rows = SignUp.objects.at(station)
    free = station.places - rows.held().count()
    for entry in rows.waiting()[: max(0, free)]:
        entry.status, entry.changed_at = SignUpStatus.HELD, now
        entry.save(update_fields=["status", "changed_at"])
        transaction.on_commit(partial(mail.moved_up, entry.pk))


def _fresh(station: Station, gathering: Gathering) -> Station:
    found = gathering.stations.select_related("briefing").filter(pk=station.pk).first()
    if found is None:
        raise ValidationError(_("That station belongs to another gathering."))
    return found


def _require_fit(station: Station, gathering: Gathering, volunteer: Volunteer) -> None:
    heard = briefings_heard(volunteer)
    found = refusal(station, gathering.demonstration, volunteer, heard)
    if found:
        code = "briefing" if found.needs_briefing else "age"
        raise ValidationError(found.reason, code=code)
