"""The page of a ret's treading: its turns, who is on, and what the reader says."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.conf import settings
from django.db.models import Case, When
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from heritage.dam.models import (
    NEVER_ALONE,
    Ret,
    RotaPlan,
    Treader,
    TreaderState,
    Treading,
    were_enough,
)
from heritage.dam.rota.selectors import Fitness, fitness, may_tick
from heritage.kits.ical import Entry
from heritage.people.models import User, Volunteer, VolunteerQuerySet
from heritage.season.models import Demonstration


@dataclass(frozen=True, slots=True)
class Lack:
    """How many more are to tread, and whether nobody watches; false if none of it."""

    treading: int
    watcher: bool
    on: int

    def __bool__(self) -> bool:
        return self.treading > 0 or self.watcher

    @property
    def has_nobody(self) -> bool:
        return self.on == 0

    @property
    def people(self) -> int:
        """How many people are to be found."""
        return self.treading + self.watcher

    @property
    def words(self) -> str:
        """Say which is missing."""
        tread = (
            ngettext("%d more to tread", "%d more to tread", self.treading)
            % self.treading
        )
        if self.treading and self.watcher:
            return _("%s, and someone to watch from the bank") % tread
        if self.treading:
            return tread
        return _("someone to watch from the bank") if self.watcher else ""


def lack_of(plan: RotaPlan, on: Collection[Treader]) -> Lack:
    """Say what a turn lacks, given those on it who are still on the list."""
    watching = sum(row.watches for row in on)
    treading = max(0, plan.people - (len(on) - watching))
    return Lack(treading, not watching, len(on))


# People come a little before the time, and set to work.
EARLY = timedelta(hours=1)
LAST_SHOWN = 6


@dataclass(frozen=True, slots=True)
class TurnLine:
    """One turn as a page shows it to one reader."""

    turn: Treading
    on: tuple[Treader, ...]
    came: tuple[Treader, ...]
    can: int
    lack: Lack
    is_over: bool
    may_write: bool
    mine: Treader | None = None
    barred: str = ""
    unfit: tuple[str, ...] = ()

    @property
    def is_written(self) -> bool:
        return self.turn.trodden_at is not None

    @property
    def treading(self) -> tuple[Treader, ...]:
        """Who is on it to tread."""
        return tuple(row for row in self.on if not row.watches)

    @property
    def watcher(self) -> Treader | None:
        """Who is on it to watch from the bank."""
        return next((row for row in self.on if row.watches), None)

    @property
    def trod(self) -> tuple[Treader, ...]:
        return tuple(row for row in self.came if row.trod)

    @property
    def watched(self) -> Treader | None:
        """Who watched, by what is written."""
        return next((row for row in self.came if row.watches), None)

    @property
    def fault(self) -> str:
        """What the book says was wrong with how many were there, in two words."""
        if not self.is_written or self._were_enough():
            return ""
        alone = len(self.trod) < NEVER_ALONE
        return _("trodden alone") if alone else _("nobody watched")

    def _were_enough(self) -> bool:
        watched = [row.volunteer_id for row in self.came if row.watches]
        return were_enough([row.volunteer_id for row in self.trod], watched)


@dataclass(frozen=True, slots=True)
class TreadingPage:
    """A ret's turns, and for whom the reader may answer."""

    ret: Ret
    plan: RotaPlan | None
    to_come: tuple[TurnLine, ...]
    past: tuple[TurnLine, ...]
    people: tuple[Volunteer, ...]
    others: tuple[Volunteer, ...]
    chosen: Volunteer | None
    barred: str

    @property
    def is_open(self) -> bool:
        """Whether anybody may still say when they can come."""
        return self.ret.lifted_at is None and bool(self.to_come)

    @property
    def unsaid(self) -> TurnLine | None:
        """The newest turn that is past, if nobody has said yet who trod it."""
        return next((line for line in self.past[:1] if not line.is_written), None)

    @property
    def lacking(self) -> TurnLine | None:
        """The next turn that lacks somebody, while anybody may still come."""
        ahead = self.to_come if self.is_open else ()
        return next((line for line in ahead if line.lack), None)


def plan_of(ret: Ret) -> RotaPlan | None:
    """Return the plan of a ret's treading, if there is one: one query."""
    return RotaPlan.objects.of_ret(ret).for_page().first()


def treading_page(
    ret: Ret, user: User, now: datetime, *, asked: int | None = None
) -> TreadingPage:
    """Gather a ret's turns for one reader: nine queries at most.

    ``asked`` is the key of the person the reader would answer for; without one it is
    the reader. Only adults are offered: who may not tread is not asked for it.
    """
    plan, where = plan_of(ret), ret.dam.demonstration
    people, others = _answered_for(user, where, now)
    everybody = {person.pk: person for person in (*people, *others)}
    first = people[0] if people else None
    chosen = everybody.get(asked, first) if asked else first
    if plan is None:
        return TreadingPage(ret, None, (), (), people, others, chosen, "")
    lines = turn_lines(plan, now, chosen=chosen)
    ahead = tuple(line for line in lines if not line.is_over)
    return TreadingPage(
        ret=ret,
        plan=plan,
        to_come=ahead,
        past=tuple(line for line in reversed(lines) if line.is_over),
        people=people,
        others=others,
        chosen=chosen,
        barred=_barred_all_through(ahead),
    )


def turn_lines(
    plan: RotaPlan, now: datetime, *, chosen: Volunteer | None = None
) -> list[TurnLine]:
    """Return a plan's turns that were not dropped, in order: five queries."""
    turns = list(Treading.objects.of_plan(plan).live().for_page().in_order())
    rows: dict[int, list[Treader]] = {turn.pk: [] for turn in turns}
    people = {chosen.pk: chosen} if chosen else {}
    for row in Treader.objects.of_plan(plan).live().with_people():
        rows[row.turn_id].append(row)
        people[row.volunteer_id] = row.volunteer
    fit = fitness(plan, people.values())
    return [_turn_line(turn, rows[turn.pk], now, chosen, fit) for turn in turns]


def _turn_line(
    turn: Treading,
    rows: Sequence[Treader],
    now: datetime,
    chosen: Volunteer | None,
    fit: Fitness,
) -> TurnLine:
    is_over = turn.at <= now
    on = tuple(
        row for row in rows if row.is_on and (is_over or row.volunteer.left_at is None)
    )
    refused = fit.refusal(turn, chosen) if chosen else None
    unfit = [] if is_over else [fit.refusal(turn, row.volunteer) for row in on]
    return TurnLine(
        turn=turn,
        on=on,
        came=tuple(row for row in rows if row.trod or (row.watches and _told(row))),
        can=sum(row.state == TreaderState.CAN and not row.by_hand for row in rows),
        lack=lack_of(turn.plan, on),
        is_over=is_over,
        may_write=turn.at - EARLY <= now,
        mine=next(
            (row for row in rows if chosen and row.volunteer_id == chosen.pk), None
        ),
        barred=refused.reason if refused else "",
        unfit=tuple(why.reason for why in unfit if why),
    )


def _told(row: Treader) -> bool:
    """Whether the book says if somebody trod: it does of all who were there."""
    return row.trod is not None


def _barred_all_through(lines: Sequence[TurnLine]) -> str:
    """Return the one reason that keeps somebody off every turn, if there is one."""
    reasons = {line.barred for line in lines}
    return reasons.pop() if len(reasons) == 1 else ""


def _answered_for(
    user: User, where: Demonstration, now: datetime
) -> tuple[tuple[Volunteer, ...], tuple[Volunteer, ...]]:
    """Return the adults of the reader's household, and those a lead ticks for."""
    day = now.astimezone(where.zone).date()
    me = user.volunteers.active().of(where).first()
    listed = Volunteer.objects.of(where).active()
    household = [me] if me else []
    if me:
        theirs = listed.answered_for_by(me).by_name()
        household += [one for one in theirs if one.pk != me.pk and _grown(one, day)]
    others: list[Volunteer] = []
    if may_tick(user, where):
        own = {one.pk for one in household}
        everybody = listed.by_name()
        others = [one for one in everybody if one.pk not in own and _grown(one, day)]
    return tuple(household), tuple(others)


def _grown(person: Volunteer, day: date) -> bool:
    return person.age_on(day) >= 18


@dataclass(frozen=True, slots=True)
class TreadingInShort:
    """The treading on the ret's own page: the next turn, and the last few."""

    next: TurnLine | None
    last: tuple[TurnLine, ...]


def treading_on_ret(ret: Ret, now: datetime) -> TreadingInShort | None:
    """Return a ret's treading in short, if it is planned: six queries at most."""
    plan = plan_of(ret)
    if plan is None:
        return None
    lines = turn_lines(plan, now)
    past = [line for line in lines if line.is_over]
    ahead = [line for line in lines if not line.is_over]
    return TreadingInShort(ahead[0] if ahead else None, tuple(past[::-1][:LAST_SHOWN]))


def turn_words(turn: Treading) -> str:
    """Name a turn by its day and half: Thursday 13 August, evening."""
    return f"{turn.day:%A} {turn.day.day} {turn.day:%B}, {turn.get_half_display()}"


# How long a turn stands in a calendar: common practice, no source.
TAKES = timedelta(minutes=45)


@dataclass(frozen=True, slots=True)
class Candidate:
    """One person beside one turn, and what keeps them off it, if anything."""

    row: Treader
    barred: str
    knows: bool


@dataclass(frozen=True, slots=True)
class TurnPage:
    """One turn as an organiser arranges it."""

    turn: Treading
    plan: RotaPlan
    on: tuple[Candidate, ...]
    can: tuple[Candidate, ...]
    cannot: tuple[Treader, ...]
    is_open: bool

    @property
    def lack(self) -> Lack:
        return lack_of(self.plan, [one.row for one in self.on])


@dataclass(frozen=True, slots=True)
class TroddenPage:
    """One turn as it is written down: who may be ticked, and who is to begin with."""

    turn: Treading
    people: VolunteerQuerySet
    ticked: list[int]
    watcher: int | None
    may_write: bool


def turn_page(turn: Treading, now: datetime) -> TurnPage:
    """Return who is on a turn, could come, or cannot: five queries at most."""
    plan = RotaPlan.objects.for_page().get(pk=turn.plan_id)
    rows = list(Treader.objects.in_turns([turn]).of_active().with_people())
    fit = fitness(plan, [row.volunteer for row in rows])
    candidates = []
    for row in rows:
        why = fit.refusal(turn, row.volunteer)
        knows = fit.knows_the_work(row.volunteer)
        candidates.append(Candidate(row, why.reason if why else "", knows))
    return TurnPage(
        turn=turn,
        plan=plan,
        on=tuple(one for one in candidates if one.row.is_on),
        can=tuple(one for one in candidates if one.row.state == TreaderState.CAN),
        cannot=tuple(row for row in rows if row.state == TreaderState.CANNOT),
        is_open=turn.at > now and not turn.dropped_at and not plan.ret.lifted_at,
    )


def trodden_page(turn: Treading, user: User, now: datetime) -> TroddenPage:
    """Say whom a reader may tick as having trodden: a lead everybody, others the turn.

    Those are the people on the turn, who offered to come, or of the reader's household.
    """
    where = turn.plan.ret.dam.demonstration
    rows = list(Treader.objects.in_turns([turn]))
    listed = Volunteer.objects.of(where)
    if may_tick(user, where):
        keys = {
            person.pk for person in listed.active() if person.age_on(turn.day) >= 18
        }
    else:
        me = user.volunteers.active().of(where).first()
        mine = listed.active().answered_for_by(me) if me else listed.none()
        keys = {person.pk for person in mine if person.age_on(turn.day) >= 18}
    keys |= {row.volunteer_id for row in rows if row.state != TreaderState.CANNOT}
    keys |= {row.volunteer_id for row in rows if row.trod}
    ticked = [row.volunteer_id for row in rows if row.trod]
    ticked = ticked or [
        row.volunteer_id for row in rows if row.is_on and not row.watches
    ]
    first = Case(When(pk__in=ticked, then=0), default=1)
    return TroddenPage(
        turn=turn,
        people=listed.of_keys(sorted(keys)).order_by(first, "name", "pk"),
        ticked=ticked,
        watcher=next((row.volunteer_id for row in rows if row.watches), None),
        may_write=turn.at - EARLY <= now and turn.dropped_at is None,
    )


# A phone is offered a turn for a day after its time, and half a day before, since it
# may be away from any signal when it comes. Our own judgement.
STILL_OFFERED = timedelta(hours=24)
OFFERED_AHEAD = timedelta(hours=12)


def turns_to_write(
    demonstration: Demonstration, now: datetime
) -> dict[Treading, list[Treader]]:
    """Return the turns about now of which nobody wrote, with who may have come.

    Two queries, one where there is no turn.
    """
    rows = Treading.objects.of(demonstration).live().under_water().unrecorded()
    near = rows.not_later(now + OFFERED_AHEAD).to_come(now - STILL_OFFERED)
    turns = list(near.for_page().in_order())
    may: dict[int, list[Treader]] = {turn.pk: [] for turn in turns}
    for row in Treader.objects.in_turns(turns).of_active().with_people():
        if row.state != TreaderState.CANNOT:
            may[row.turn_id].append(row)
    return {turn: may[turn.pk] for turn in turns}


def own_turns(volunteer: Volunteer) -> list[Entry]:
    """Return one volunteer's turns as a calendar holds them: one query."""
    where = volunteer.demonstration
    rows = Treader.objects.by(volunteer).of(where).on().live().of_taken_rotas()
    rows = rows.select_related("turn__plan__ret__dam").order_by("turn__at", "pk")
    return [_entry(row, volunteer) for row in rows]


def _entry(row: Treader, volunteer: Volunteer) -> Entry:
    where, ret = volunteer.demonstration, row.turn.plan.ret
    path = reverse("dam:treading", args=[where.slug, ret.pk])
    return Entry(
        uid=f"treading-{row.pk}-{where.slug}",
        stamp=row.changed_at,
        starts=row.turn.at,
        ends=row.turn.at + TAKES,
        summary=(_("Watching the treading: %s") if row.watches else _("Treading: %s"))
        % ret.dam.name,
        location=where.place_name,
        description=(
            _("You watch from the bank and do nothing else.")
            if row.watches
            else _("Wait on the bank until the others and the watcher are there.")
        ),
        url=f"{settings.SITE_ADDRESS}{path}",
        # A turn that moves keeps its name, and rises by its time.
        sequence=int(row.turn.at.timestamp()) // 60 % 1_000_000,
    )


GAPS_AHEAD = timedelta(days=4)
# How long the organisers are reminded that somebody trod alone.
ALONE_SHOWN = timedelta(days=3)


@dataclass(frozen=True, slots=True)
class Gap:
    """A turn to come that has too few treading, or nobody to watch."""

    turn: Treading
    lack: Lack

    @property
    def words(self) -> str:
        """Say it in one line."""
        name = {
            "day": f"{self.turn.day:%A}",
            "half": self.turn.get_half_display(),
            "lack": self.lack.words,
        }
        if self.lack.has_nobody:
            return _("%(day)s %(half)s's treading has nobody: %(lack)s") % name
        return _("%(day)s %(half)s's treading: %(lack)s") % name


@dataclass(frozen=True, slots=True)
class TreadingMatters:
    """What the treading asks of an organiser today."""

    gaps: tuple[Gap, ...]
    untaken: tuple[RotaPlan, ...]
    unwritten: tuple[Treading, ...]
    alone: tuple[Treading, ...]
    unwatched: tuple[Treading, ...]
    unbriefed: tuple[RotaPlan, ...]


def treading_matters(demonstration: Demonstration, now: datetime) -> TreadingMatters:
    """Return the gaps of the next days, and the rotas to be worked out: 3 queries."""
    plans = list(RotaPlan.objects.of(demonstration).going().for_page())
    turns = Treading.objects.of(demonstration).live().under_water()
    near = list(turns.not_later(now + GAPS_AHEAD).for_page().in_order())
    rows: dict[int, list[Treader]] = {turn.pk: [] for turn in near}
    for row in Treader.objects.in_turns(near).select_related("volunteer"):
        rows[row.turn_id].append(row)
    short = [turn for turn in near if turn.why_alone and turn.at > now - ALONE_SHOWN]
    alone = [
        turn for turn in short if sum(bool(row.trod) for row in rows[turn.pk]) == 1
    ]
    return TreadingMatters(
        gaps=tuple(
            Gap(turn, lack)
            for turn in near
            if turn.at > now
            and turn.plan.taken_at
            and (lack := lack_of(turn.plan, _coming(rows[turn.pk])))
        ),
        untaken=tuple(plan for plan in plans if plan.taken_at is None),
        unwritten=tuple(turn for turn in near if _is_unwritten(turn, now)),
        alone=tuple(alone),
        unwatched=tuple(turn for turn in short if turn not in alone),
        unbriefed=tuple(plan for plan in plans if plan.briefing_id is None),
    )


def _is_unwritten(turn: Treading, now: datetime) -> bool:
    """Tell whether a turn of the last day is two hours past and nobody wrote of it."""
    is_past = now - timedelta(days=1) < turn.at < now - timedelta(hours=2)
    return is_past and turn.trodden_at is None


def _coming(rows: list[Treader]) -> list[Treader]:
    return [row for row in rows if row.is_on and row.volunteer.left_at is None]
