"""The waiting list: who moves up, by when they answer, and what lapses.

Every function here but `lapse_overdue` and `fill_queues` is called with the gathering
held.
"""

from collections import Counter
from datetime import datetime, timedelta
from functools import partial

from django.db import transaction

from heritage.gatherings import mail
from heritage.gatherings.models import Gathering, SignUp, SignUpStatus, Station
from heritage.gatherings.selectors import (
    SETTING_OUT,
    Known,
    address_of,
    known_of,
    refusal,
)
from heritage.gatherings.services.locking import hold
from heritage.people.models import Volunteer

# House rules, without a printed source. Nobody is asked to answer later than this
# before the start, so that the next one still has time to come.
LAST_ANSWER = timedelta(hours=2)
# Where less than this is left to answer in, the place is simply theirs.
LEAST_TIME = timedelta(hours=1)


def deadline(gathering: Gathering, now: datetime) -> datetime | None:
    """Return by when somebody who moves up now answers; None if they need not."""
    asked = now + timedelta(hours=gathering.demonstration.answer_hours)
    latest = gathering.starts_at - LAST_ANSWER
    by = min(asked, latest)
    return by if by - now >= LEAST_TIME else None


def make_room(gathering: Gathering, station: Station, now: datetime) -> bool:
    """Tell whether there is a place for a newcomer once the queue has had its due."""
    settle(gathering, now, newcomer_at=station)
    fill(gathering, station, now)
    return _free(station) > 0


def fill(gathering: Gathering, station: Station, now: datetime) -> int:
    """Move the queue up into the places that are free; return how many moved.

    Whoever could not be given the place today keeps their turn, and it goes past
    them: it is theirs as soon as they have mended what is missing and one is free. An
    adult and the children who come only with them move up together or not at all.
    """
    if gathering.is_called_off or gathering.is_draft or now >= gathering.ends_at:
        return 0
    moving = _takers(gathering, station, now, _free(station))
    for entry in moving:
        entry.status, entry.changed_at = SignUpStatus.HELD, now
        entry.answer_by = deadline(gathering, now)
        entry.save(update_fields=["status", "changed_at", "answer_by"])
        transaction.on_commit(partial(mail.moved_up, entry.pk))
    return len(moving)


def settle(
    gathering: Gathering, now: datetime, *, newcomer_at: Station | None = None
) -> int:
    """Let places lapse that were not answered for in time; return how many.

    A place lapses only where somebody wants it: one in the queue who could be given
    it today, or a newcomer who is asking now; for a newcomer, that station alone is
    looked at. Nobody whom no letter reaches loses a place this way: the lead
    telephones, and answers for them.
    """
    if not gathering.is_posted or now >= gathering.starts_at - SETTING_OUT:
        return 0
    late = gathering.sign_ups.overdue(now).for_answers()
    if newcomer_at:
        late = late.at(newcomer_at)
    by_station: dict[Station, list[SignUp]] = {}
    for entry in late:
        if address_of(entry.volunteer):
            by_station.setdefault(entry.station, []).append(entry)
    lapsed = 0
    for station, entries in by_station.items():
        going = entries[: _wanted(gathering, station, now, len(entries), newcomer_at)]
        gone: dict[int, SignUp] = {}
        for entry in going:
            if entry.pk not in gone:
                gone |= {one.pk: one for one in _lapse(gathering, entry, now)}
        for left in dict.fromkeys(entry.station for entry in gone.values()):
            fill(gathering, left, now)
        lapsed += len(gone)
    return lapsed


def has_adult(gathering: Gathering, volunteer: Volunteer) -> bool:
    """Tell whether somebody may hold a place: a child only beside their adult's."""
    adult = volunteer.guardian
    return not volunteer.needs_adult or (
        adult is not None and gathering.sign_ups.held().by(adult).exists()
    )


def end_beside(
    gathering: Gathering, adult: Volunteer, status: SignUpStatus, now: datetime
) -> list[SignUp]:
    """End the places and turns of the children who come only with an adult.

    Called before the adult's own is ended, since no child's stands without it.
    """
    rows = gathering.sign_ups.live()
    if status == SignUpStatus.NOT_COME:
        rows = rows.held()
    entries = list(rows.only_with(adult))
    for entry in entries:
        entry.status, entry.changed_at = status, now
        entry.answer_by = None
        entry.save(update_fields=["status", "changed_at", "answer_by"])
    return entries


def give_time_again(gathering: Gathering, now: datetime) -> None:
    """Let those who have yet to answer begin anew: the evening is on again."""
    gathering.sign_ups.unanswered().update(answer_by=deadline(gathering, now))


def lapse_overdue(now: datetime) -> int:
    """Let unanswered places lapse at every gathering to come; return how many.

    Each gathering is held and settled by itself, so that none waits for the others.
    """
    late = Gathering.objects.going_ahead().awaiting_answers(now)
    lapsed = 0
    for gathering in late.starting_after(now + SETTING_OUT):
        with transaction.atomic():
            lapsed += settle(hold(gathering), now)
    return lapsed


def fill_queues(now: datetime) -> int:
    """Give free places to those who became fit for them since; return how many."""
    moved = 0
    for gathering in Gathering.objects.going_ahead().with_queue().starting_after(now):
        with transaction.atomic():
            held = hold(gathering)
            moved += sum(fill(held, station, now) for station in held.stations.all())
    return moved


def _free(station: Station) -> int:
    """Return how many places nobody holds; below nothing where there are too many."""
    return station.places - SignUp.objects.at(station).held().count()


def _takers(
    gathering: Gathering, station: Station, now: datetime, free: int
) -> list[SignUp]:
    """Return who would move up if so many places were free at a station, in order.

    Each party is moved whole, adults before children, or passed over.
    """
    if free <= 0:
        return []
    left, moving = {station.pk: free}, list[SignUp]()
    for party in _parties(gathering, station, now):
        asked = Counter(entry.station_id for entry in party)
        for entry in party:
            left.setdefault(entry.station_id, _free(entry.station))
        if all(left[key] >= count for key, count in asked.items()):
            moving += party
            for key, count in asked.items():
                left[key] -= count
    return moving


def _parties(
    gathering: Gathering, station: Station, now: datetime
) -> list[list[SignUp]]:
    """Return who waits for a station, in their order, each with whom they come.

    Whoever could not be given a place today is left out with all of their party.
    """
    asks = ("volunteer__guardian", "station__briefing", "station__competence")
    rows = list(gathering.sign_ups.waiting().select_related(*asks))
    if not any(row.station_id == station.pk for row in rows):
        return []
    stations = {row.station_id: row.station for row in rows}
    known = known_of([row.volunteer for row in rows], gathering, stations.values())
    # Once it has begun a place goes to whoever stands here, not to somebody at home.
    here = gathering.turnout.here_at(now) if now >= gathering.starts_at else None
    there = here and set(here.values_list("volunteer", flat=True))

    def could(row: SignUp) -> bool:
        why = refusal(row.station, gathering, row.volunteer, known)
        is_fit = why is None or why.may_wait
        return is_fit and (there is None or row.volunteer_id in there)

    parties: dict[int, list[SignUp]] = {}
    for row in rows:
        parties.setdefault(_head(row, known), []).append(row)
    heads = [_head(row, known) for row in rows if row.station_id == station.pk]
    found = [parties[head] for head in dict.fromkeys(heads)]
    return [
        sorted(party, key=lambda row: row.volunteer.needs_adult)
        for party in found
        if all(could(row) for row in party)
    ]


def _head(row: SignUp, known: Known) -> int:
    """Return with whom somebody moves up: an adult who waits too, or by themselves."""
    person = row.volunteer
    adult = person.guardian_id if person.needs_adult else None
    if adult and known.adults.get(adult) == SignUpStatus.WAITING:
        return adult
    return person.pk


def _wanted(
    gathering: Gathering,
    station: Station,
    now: datetime,
    late: int,
    newcomer_at: Station | None,
) -> int:
    """Return how many of the late places are wanted beyond those that are free."""
    free = max(0, _free(station))
    moving = _takers(gathering, station, now, free + late)
    asking = sum(entry.station_id == station.pk for entry in moving)
    return max(0, asking + (station == newcomer_at) - free)


def _lapse(gathering: Gathering, entry: SignUp, now: datetime) -> list[SignUp]:
    """Let a place lapse, with those of the children who come only with its holder."""
    gone = [*end_beside(gathering, entry.volunteer, SignUpStatus.GIVEN_UP, now), entry]
    entry.status, entry.changed_at = SignUpStatus.GIVEN_UP, now
    entry.answer_by = None
    entry.save(update_fields=["status", "changed_at", "answer_by"])
    for one in gone:
        transaction.on_commit(partial(mail.lapsed, one.pk))
    return gone
