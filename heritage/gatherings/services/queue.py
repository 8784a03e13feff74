"""The waiting list: who moves up, by when they answer, and what lapses.

Every function here but `lapse_overdue` and `fill_queues` is called with the gathering
held.
"""

from datetime import datetime, timedelta
from functools import partial

from django.db import transaction

from heritage.gatherings import mail
from heritage.gatherings.models import Gathering, SignUp, SignUpStatus, Station
from heritage.gatherings.selectors import SETTING_OUT, address_of, known_of, refusal
from heritage.gatherings.services.locking import hold

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
    them: it is theirs as soon as they have mended what is missing and one is free.
    """
    if gathering.is_called_off or gathering.is_draft or now >= gathering.ends_at:
        return 0
    free = _free(station)
    moving = _fit(gathering, station) if free > 0 else []
    if now >= gathering.starts_at:
        # It has begun: a place goes to whoever stands here, not to somebody at home.
        here = set(gathering.turnout.here_at(now).values_list("volunteer", flat=True))
        moving = [entry for entry in moving if entry.volunteer_id in here]
    moving = moving[:free]
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
        going = entries[: _wanted(gathering, station, newcomer_at)]
        for entry in going:
            _lapse(entry, now)
        if going:
            fill(gathering, station, now)
        lapsed += len(going)
    return lapsed


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


def _fit(gathering: Gathering, station: Station) -> list[SignUp]:
    """Return those in the queue who could be given a place today, in their order."""
    rows = list(SignUp.objects.at(station).waiting().select_related("volunteer"))
    if not rows:
        return []
    known = known_of([row.volunteer for row in rows], gathering, [station])
    return [
        row for row in rows if not refusal(station, gathering, row.volunteer, known)
    ]


def _wanted(gathering: Gathering, station: Station, newcomer_at: Station | None) -> int:
    """Return how many places are wanted beyond those that are free."""
    asking = len(_fit(gathering, station)) + (station == newcomer_at)
    return max(0, asking - max(0, _free(station)))


def _lapse(entry: SignUp, now: datetime) -> None:
    entry.status, entry.changed_at = SignUpStatus.GIVEN_UP, now
    entry.answer_by = None
    entry.save(update_fields=["status", "changed_at", "answer_by"])
    transaction.on_commit(partial(mail.lapsed, entry.pk))
