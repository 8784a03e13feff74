"""The page of a ret's treading: its turns, who is on, and what the reader says."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils.translation import gettext as _

from heritage.dam.models import (
    NEVER_ALONE,
    Ret,
    RotaPlan,
    Treader,
    TreaderState,
    Treading,
    were_enough,
)
from heritage.dam.selectors.fitness import Fitness, fitness, may_tick
from heritage.dam.selectors.lacks import Lack, lack_of
from heritage.people.models import User, Volunteer
from heritage.season.models import Demonstration

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
    return [_line(plan, turn, rows[turn.pk], now, chosen, fit) for turn in turns]


def _line(
    plan: RotaPlan,
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
    standing = [(row, fit.refusal(turn, row.volunteer)) for row in on]
    return TurnLine(
        turn=turn,
        on=on,
        came=tuple(row for row in rows if row.trod or (row.watches and _told(row))),
        can=sum(row.state == TreaderState.CAN and not row.by_hand for row in rows),
        lack=lack_of(plan, on),
        is_over=is_over,
        may_write=turn.at - EARLY <= now,
        mine=next(
            (row for row in rows if chosen and row.volunteer_id == chosen.pk), None
        ),
        barred=refused.reason if refused else "",
        unfit=tuple(why.reason for _who, why in standing if why) if not is_over else (),
    )


def _told(row: Treader) -> bool:
    """Whether the book says of somebody if they trod: it does of whoever was there."""
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
