"""Places and the waiting list: who signs up, who moves up, what lapses.

What a page or a command calls locks the gathering itself; the steps that these are made
of (`make_room`, `fill`, `settle`, `end_beside`, `place`) are called with it locked.

A place that was not answered for lapses only to somebody who wants it and could have
it today, and never from somebody whom no letter reaches: for them the lead has a list
to telephone, and their place waits until the lead has. Within an hour of the start
nobody loses a place, since they may have set out. (The two hours to answer before the
start, and the hour, are our own.)

Arrival is the order of the lock: `SignUp.asked_at` never lies before that of the one
let in earlier at the same station, so a queue never reorders itself by whose clock was
read first. A free place goes past those who would be refused it today: they keep their
turn, hold up nobody, and ``tend`` looks again every few minutes. An adult and their
children under 13 move up together or are passed over, since a queue that holds places
for two would keep one from coming. A household that would come only together is given
places for all or signed up for nothing, for the same reason.
"""

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import partial
from typing import Any, Literal

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.briefings.models import BriefingVersion
from heritage.briefings.selectors import heard_pairs
from heritage.briefings.services import acknowledge
from heritage.gatherings.asked.selectors import Known, known_of, refusal
from heritage.gatherings.ground.services import (
    lock_gathering,
    require_answerable,
    require_lead,
    require_open,
)
from heritage.gatherings.letters import mail
from heritage.gatherings.letters.selectors import SETTING_OUT
from heritage.gatherings.models import Gathering, SignUp, SignUpStatus, Station
from heritage.people import services as people
from heritage.people.letters.selectors import address_of
from heritage.people.models import User, Volunteer

# House rules, without a printed source. Nobody is asked to answer later than this
# before the start, so that the next one still has time to come.
LAST_ANSWER = timedelta(hours=2)
# Where less than this is left to answer in, the place is simply theirs.
LEAST_TIME = timedelta(hours=1)
# How long giving a place up can be undone.
UNDO_WITHIN = timedelta(minutes=10)


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

    Who could not be given the place today keeps their turn, and it goes past
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

    Each gathering is locked and settled by itself, so that none waits for the others.
    """
    late = Gathering.objects.going_ahead().awaiting_answers(now)
    lapsed = 0
    for gathering in late.starting_after(now + SETTING_OUT):
        with transaction.atomic():
            lapsed += settle(lock_gathering(gathering), now)
    return lapsed


def fill_queues(now: datetime) -> int:
    """Give free places to those who became fit for them since; return how many."""
    moved = 0
    for gathering in Gathering.objects.going_ahead().with_queue().starting_after(now):
        with transaction.atomic():
            locked = lock_gathering(gathering)
            moved += sum(
                fill(locked, station, now) for station in locked.stations.all()
            )
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

    Who could not be given a place today is left out with all of their party.
    """
    asks = ("volunteer__guardian", "station__briefing", "station__competence")
    rows = list(gathering.sign_ups.waiting().select_related(*asks))
    if not any(row.station_id == station.pk for row in rows):
        return []
    stations = {row.station_id: row.station for row in rows}
    known = known_of([row.volunteer for row in rows], gathering, stations.values())
    # Once it has begun a place goes to those who stand here, not to somebody at home.
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
    asking = [parties[head] for head in dict.fromkeys(heads)]
    return [
        sorted(party, key=lambda row: row.volunteer.needs_adult)
        for party in asking
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


# What becomes of the children who come only with somebody who gives a place up: it is
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
    gathering = lock_gathering(station.gathering)
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
    gathering, entry = _locked_entry(sign_up)
    require_answerable(gathering, entry.volunteer, by)
    if entry.status != SignUpStatus.HELD:
        raise ValidationError(
            _(
                "The place has gone to the next person. Sign up again to join the "
                "waiting list."
            )
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
    gathering, entry = _locked_entry(sign_up)
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
def take_back(*, sign_up: SignUp, by: User, now: datetime) -> list[SignUp]:
    """Undo giving a place up, with the children's that went with it.

    A place that is still free is theirs again. Who moved up keeps what they were
    given, and nobody in the queue is overtaken: without a free place it is a turn at
    its end, as for anybody who asks now.

    Raises
    ------
    ValidationError
        If it is too late, or they could not be signed up now.
    """
    gathering, entry = _locked_entry(sign_up)
    require_open(gathering, now)
    if entry.status != SignUpStatus.GIVEN_UP or now > entry.changed_at + UNDO_WITHIN:
        raise ValidationError(_("It's too late to undo. You can sign up again."))
    together = gathering.sign_ups.gone_with(entry).select_related("volunteer")
    back = []
    for gone in [entry, *together]:
        station = fresh(gone.station, gathering)
        require_free(gathering, gone.volunteer, by)
        require_fit(station, gathering, gone.volunteer, may_wait=True)
        again = enter(gathering, station, gone.volunteer, now)
        again.also.set(gone.also.all())
        back.append(again)
    return back


@transaction.atomic
def move(*, sign_up: SignUp, station: Station, by: User, now: datetime) -> SignUp:
    """Move somebody to a free place at another station of the same gathering."""
    gathering = lock_gathering(sign_up.gathering)
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
        raise ValidationError(_("%s is full. Move somebody first.") % station)
    left, had_place = entry.station, entry.status == SignUpStatus.HELD
    place(entry, station, now)
    if had_place:
        fill(gathering, left, now)
    return entry


def enter(
    gathering: Gathering, station: Station, volunteer: Volunteer, now: datetime
) -> SignUp:
    """Write somebody in who may be: a place or, if there is none, the next turn.

    The order of arrival is the order in which the lock let people in: who
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
    row = gathering.stations.with_asked().filter(pk=station.pk).first()
    if row is None:
        raise ValidationError(_("That station belongs to another gathering."))
    return row


def require_free(gathering: Gathering, volunteer: Volunteer, by: User) -> None:
    """Refuse anybody whom the asker may not sign up, or who is signed up already."""
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
    """Refuse anybody who may not work at a station or, if that will do, wait for it."""
    known = known_of([volunteer], gathering, [station])
    why = refusal(station, gathering, volunteer, known)
    if why and not (may_wait and why.may_wait):
        raise ValidationError(why.reason, code=why.code)


def _require_nobody_left(entry: SignUp, beside: list[SignUp]) -> None:
    """Refuse to leave a child's place without the adult they come with."""
    if beside:
        words = _("%(children)s, under 13, cannot come without %(adult)s.")
        names = ", ".join(str(one.volunteer) for one in beside)
        sentence = words % {"children": names, "adult": entry.volunteer}
        raise ValidationError(sentence, code="children")


def _locked_entry(sign_up: SignUp) -> tuple[Gathering, SignUp]:
    """Lock the gathering of a sign-up, and read the row as it is then."""
    gathering = lock_gathering(sign_up.gathering)
    rows = gathering.sign_ups.select_related("volunteer", "station")
    return gathering, rows.get(pk=sign_up.pk)


@transaction.atomic
def wish(
    *, sign_up: SignUp, also: Collection[Station], by: User, now: datetime
) -> SignUp:
    """Say where else somebody would work, in the place of what was said before."""
    gathering = lock_gathering(sign_up.gathering)
    require_open(gathering, now)
    rows = gathering.sign_ups.live().select_related("volunteer", "station")
    entry = rows.filter(pk=sign_up.pk).first()
    if entry is None:
        raise ValidationError(_("That place was given up. Sign up again first."))
    require_answerable(gathering, entry.volunteer, by)
    write_wishes(gathering, entry, also)
    return entry


def write_wishes(
    gathering: Gathering, entry: SignUp, also: Collection[Station]
) -> None:
    """Keep what somebody may wish for; the gathering is locked.

    Too young is refused. What they can still mend, a briefing to hear or something
    to be confirmed, is no hindrance to saying that they would.
    """
    others = [station for station in also if station.pk != entry.station_id]
    if any(station.gathering_id != gathering.pk for station in others):
        raise ValidationError(_("That station belongs to another gathering."))
    known = known_of([entry.volunteer], gathering, others)
    for station in others:
        why = refusal(station, gathering, entry.volunteer, known)
        if why and why.code == "age":
            raise ValidationError({"also": why.reason})
    entry.also.set(others)


@dataclass(frozen=True, slots=True)
class Ask:
    """One person of the household, where they would work, and where else."""

    volunteer: Volunteer
    station: Station
    also: tuple[Station, ...] = ()


@dataclass(frozen=True, slots=True)
class Verdict:
    """What became of one ask: a place or a turn, or why neither."""

    ask: Ask
    sign_up: SignUp | None = None
    refusal: str = ""


@dataclass(frozen=True, slots=True)
class Coming:
    """What a page said of those who come, besides their stations.

    ``joining`` is what somebody new says of themselves, ``child`` what they say of a
    child they bring, as `people.services` takes them; ``station`` is the child's.
    ``version`` of a briefing was read there, ``in_short`` or whole.
    """

    joining: Mapping[str, Any] | None = None
    child: Mapping[str, Any] | None = None
    station: Station | None = None
    version: BriefingVersion | None = None
    in_short: bool = False


@transaction.atomic
def come(
    *,
    gathering: Gathering,
    asks: Sequence[Ask],
    coming: Coming,
    by: User,
    now: datetime,
    only_together: bool = False,
) -> list[Verdict]:
    """Join, bring a child, hear a briefing and take the places, all from one page.

    An ask for somebody who is not on the list yet is the newcomer's own. Each who
    asks for a station of the briefing that was read has heard it, a child by the word
    of the adult who answers for them; nobody else has.

    Raises
    ------
    ValidationError
        If somebody cannot join, the briefing has changed since, or, by
        `sign_up_together`, nobody may be signed up; then nothing has been done.
    """
    gathering = lock_gathering(gathering)
    require_open(gathering, now)
    here, found = gathering.demonstration, list(asks)
    if coming.joining is not None:
        me = people.join(demonstration=here, user=by, now=now, **coming.joining)
        found = [a if a.volunteer.pk else replace(a, volunteer=me) for a in found]
    if coming.child is not None and coming.station is not None:
        guardian = by.volunteers.active().of(here).get()
        child = people.add_volunteer(
            demonstration=here, guardian=guardian, now=now, **coming.child
        )
        found.append(Ask(child, coming.station))
    if coming.version is not None:
        _hear(coming.version, found, coming.in_short, by, now)
    return sign_up_together(
        gathering=gathering, asks=found, by=by, now=now, only_together=only_together
    )


def _hear(
    version: BriefingVersion,
    asks: Sequence[Ask],
    in_short: bool,
    by: User,
    now: datetime,
) -> None:
    """Let everybody have heard a briefing whose station asks for it."""
    asking = [a.volunteer for a in asks if a.station.briefing_id == version.briefing_id]
    heard = heard_pairs(asking, [version.briefing])
    for person in asking:
        if (person.pk, version.briefing_id) not in heard:
            acknowledge(
                version=version, volunteer=person, by=by, now=now, in_short=in_short
            )


@transaction.atomic
def sign_up_together(
    *,
    gathering: Gathering,
    asks: Sequence[Ask],
    by: User,
    now: datetime,
    only_together: bool = False,
) -> list[Verdict]:
    """Sign up several people at once, and say of each what became of it.

    Each is taken for themselves: one who is refused keeps nobody else from a place,
    but for a child under 13, who comes only with the adult who answers for them.
    With ``only_together`` there is a place for every one of them, or nothing is done.

    Raises
    ------
    ValidationError
        If nobody is named, somebody is named twice, or they would come only
        together and cannot; then nothing has been done.
    """
    gathering = lock_gathering(gathering)
    require_open(gathering, now)
    keys = {ask.volunteer.pk for ask in asks}
    if not asks:
        raise ValidationError(_("Choose a station for at least one of you."))
    if len(keys) < len(asks):
        raise ValidationError(_("Choose one station for each of you."))
    # A child under 13 has a place only beside their adult's, so that comes first.
    in_turn = sorted(asks, key=lambda ask: ask.volunteer.needs_adult)
    of_each = {ask.volunteer.pk: _taken(ask, gathering, by, now) for ask in in_turn}
    verdicts = [of_each[ask.volunteer.pk] for ask in asks]
    if only_together:
        _require_all(verdicts)
    return verdicts


def _taken(ask: Ask, gathering: Gathering, by: User, now: datetime) -> Verdict:
    try:
        station = fresh(ask.station, gathering)
        require_free(gathering, ask.volunteer, by)
        require_fit(station, gathering, ask.volunteer, may_wait=True)
    except ValidationError as error:
        return Verdict(ask, refusal=" ".join(error.messages))
    entry = enter(gathering, station, ask.volunteer, now)
    write_wishes(gathering, entry, ask.also)
    return Verdict(ask, entry)


def _require_all(verdicts: Sequence[Verdict]) -> None:
    """Undo everything unless there is a place for all."""
    reasons = [one.refusal for one in verdicts if one.refusal]
    reasons += [
        _("%(station)s has no place for %(who)s.")
        % {"station": one.ask.station, "who": one.ask.volunteer}
        for one in verdicts
        if one.sign_up and one.sign_up.status == SignUpStatus.WAITING
    ]
    if reasons:
        head = _(
            "You would come only together, so nobody has been signed up. Choose other "
            "stations, or take the tick away and let each have what there is."
        )
        raise ValidationError([head, *reasons])
