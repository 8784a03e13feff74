"""The waiting list: who moves up, by when they answer, and what lapses.

Every function here but `lapse_overdue` is called with the gathering held.
"""

from datetime import datetime, timedelta
from functools import partial

from django.db import transaction

from heritage.gatherings import mail
from heritage.gatherings.models import Gathering, SignUp, SignUpStatus, Station
from heritage.gatherings.selectors import address_of
from heritage.gatherings.services.locking import hold

# House rules, without a printed source. Nobody is asked to answer later than this
# before the start, so that the next one still has time to come.
LAST_ANSWER = timedelta(hours=2)
# Where less than this is left to answer in, the place is simply theirs.
LEAST_TIME = timedelta(hours=1)
# Within this of the start nobody loses a place: they may have set out.
SETTING_OUT = timedelta(hours=1)


def deadline(gathering: Gathering, now: datetime) -> datetime | None:
    """Return by when somebody who moves up now answers; None if they need not."""
    asked = now + timedelta(hours=gathering.demonstration.answer_hours)
    latest = gathering.starts_at - LAST_ANSWER
    by = min(asked, latest)
    return by if by - now >= LEAST_TIME else None


def has_room(station: Station) -> bool:
    """Tell whether a place is free that nobody in the queue is owed."""
    rows = SignUp.objects.at(station)
    return not rows.waiting().exists() and rows.held().count() < station.places


def fill(gathering: Gathering, station: Station, now: datetime) -> None:
    """Move the queue up into the places that are free."""
    if gathering.is_called_off or gathering.is_draft or now >= gathering.ends_at:
        return
    rows = SignUp.objects.at(station)
    free = station.places - rows.held().count()
    for entry in rows.waiting()[: max(0, free)]:
        entry.status, entry.changed_at = SignUpStatus.HELD, now
        entry.answer_by = deadline(gathering, now)
        entry.save(update_fields=["status", "changed_at", "answer_by"])
        transaction.on_commit(partial(mail.moved_up, entry.pk))


def settle(
    gathering: Gathering, now: datetime, *, newcomer_at: Station | None = None
) -> int:
    """Let places lapse that were not answered for in time; return how many.

    A place lapses only where somebody wants it: one in the queue, or a newcomer
    who is asking now; for a newcomer, that station alone is looked at. Nobody whom
    no letter reaches loses a place this way: the lead telephones, and answers for
    them.
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
        going = entries[: _wanted(station, newcomer_at)]
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


def _wanted(station: Station, newcomer_at: Station | None) -> int:
    """Return how many places are wanted beyond those that are free."""
    rows = SignUp.objects.at(station)
    asking = rows.waiting().count() + (station == newcomer_at)
    return max(0, asking - max(0, station.places - rows.held().count()))


def _lapse(entry: SignUp, now: datetime) -> None:
    entry.status, entry.changed_at = SignUpStatus.GIVEN_UP, now
    entry.answer_by = None
    entry.save(update_fields=["status", "changed_at", "answer_by"])
    transaction.on_commit(partial(mail.lapsed, entry.pk))
