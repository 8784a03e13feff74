"""Everybody out: call everybody to the meeting point, and count them there."""

import uuid
from collections.abc import Iterable
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.gatherings.models import Awaited, Gathering, Muster, Safe
from heritage.gatherings.selectors.musters import not_seen
from heritage.gatherings.selectors.names import named
from heritage.gatherings.services.gate import CLOSES, OPENS, arrive, arrive_new
from heritage.gatherings.services.locking import hold, require_lead
from heritage.people.models import AgeBand, User, Volunteer


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
    gathering = hold(gathering)
    require_lead(gathering, by)
    key, shown = key or uuid.uuid4(), list(here)
    muster = gathering.musters.open().first() or gathering.musters.keyed(key).first()
    if muster is None:
        muster = _call(gathering, by, now, why.strip(), key, called_at or now, shown)
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


def _call(
    gathering: Gathering,
    by: User,
    now: datetime,
    why: str,
    key: uuid.UUID,
    called_at: datetime,
    shown: list[Volunteer],
) -> Muster:
    # Whoever stands in the field is counted at any hour.
    is_open = gathering.starts_at - OPENS <= now <= gathering.ends_at + CLOSES
    if gathering.is_draft or not (is_open or shown):
        raise ValidationError(
            _("Nobody is expected in the field now: there is nobody to count.")
        )
    muster = Muster(
        gathering=gathering, key=key, why=why, called_at=called_at, called_by=by
    )
    muster.full_clean()
    muster.save()
    return muster


@transaction.atomic
def see(*, muster: Muster, volunteer: Volunteer, by: User, now: datetime) -> Safe:
    """Tick somebody seen at the meeting point; two leads may both have seen them."""
    gathering = hold(muster.gathering)
    require_lead(gathering, by)
    if volunteer.demonstration_id != gathering.demonstration_id:
        raise ValidationError(_("They are no volunteer of this demonstration."))
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
    hold(muster.gathering)
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
    gathering = hold(muster.gathering)
    require_lead(gathering, by)
    if muster.closed_at:
        raise ValidationError(_("This head-count has ended."))
    muster.safe.of_person(volunteer).delete()


@transaction.atomic
def end_head_count(
    *, muster: Muster, by: User, now: datetime, note: str = ""
) -> Muster:
    """End a head-count; with somebody not seen, only with words about them."""
    gathering = hold(muster.gathering)
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
