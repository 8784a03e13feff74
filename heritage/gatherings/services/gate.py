"""The gate: somebody comes, somebody goes, one press each."""

from datetime import datetime, timedelta

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.gatherings.models import (
    Gathering,
    SignUp,
    SignUpStatus,
    Station,
    Turnout,
)
from heritage.gatherings.selectors import standing_still
from heritage.gatherings.services.by_name import require_beside
from heritage.gatherings.services.locking import hold, require_lead
from heritage.gatherings.services.places import fresh, require_fit
from heritage.gatherings.services.queue import fill, make_room
from heritage.gatherings.services.turnout import new_name, record_turnout
from heritage.people.models import AgeBand, User, Volunteer
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
    gathering = _open_gate(gathering, by, now)
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
    gathering = _open_gate(gathering, by, now)
    if age_band == AgeBand.ADULT:
        raise ValidationError({"age_band": _("An adult is written in as a new name.")})
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
    gathering = _open_gate(gathering, by, now)
    if not gathering.is_posted:
        raise ValidationError(_("This gathering is not going on."))
    if not gathering.turnout.here_at(now).by(volunteer).exists():
        raise ValidationError(
            _("%s is not here: say first that they came.") % volunteer
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
        words = _("%s is full. Move somebody away from it first.")
        return words % station
    words = _(
        "%(station)s is full. Not come yet: %(names)s. From %(from)s their places can "
        "be freed at the gate; before, take one off the list."
    )
    free_from = gathering.grace_ends_at.astimezone(gathering.demonstration.zone)
    said = {"names": ", ".join(names), "from": f"{free_from:%H:%M}"}
    return words % {"station": station, **said}


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


def _open_gate(gathering: Gathering, by: User, now: datetime) -> Gathering:
    gathering = hold(gathering)
    require_lead(gathering, by)
    if not gathering.starts_at - OPENS <= now <= gathering.ends_at + CLOSES:
        raise ValidationError(
            _("The gate is not open now. Write the times into the list instead.")
        )
    return gathering
