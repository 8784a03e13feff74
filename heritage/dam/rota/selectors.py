"""The rota as the figures would have it: a proposal for the organiser to take.

A turn is a station to the rules: `fitness` asks the stations' own rules of it, as of a
station for treading at a gathering of its own, so that age and briefing cannot mean
two things. To `calc.rota` what has been stands as it was: it weighs for rest and
evenness and forbids nothing.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, time

from django.utils.translation import gettext as _

from heritage.briefings.models import Briefing
from heritage.calc import rota
from heritage.common.words import in_words
from heritage.dam.models import Reading, RotaPlan, Treader, TreaderState, Treading
from heritage.dam.rota.words import WHY_UNFILLED
from heritage.gatherings.asked.selectors import Known, Refusal, known_of, refusal
from heritage.gatherings.models import Gathering, Station, StationKind
from heritage.people.competences.selectors import able_pairs
from heritage.people.models import User, Volunteer
from heritage.season.models import Demonstration


@dataclass(frozen=True, slots=True)
class Fitness:
    """What is known of some people, for every turn of one plan."""

    station: Station
    where: Demonstration
    known: Known
    skilled: frozenset[int]

    def refusal(self, turn: Treading, volunteer: Volunteer) -> Refusal | None:
        """Say why somebody may not tread on a turn, if they may not."""
        if volunteer.left_at:
            return Refusal(
                _("%s isn't on the list any more. Reload the page.") % volunteer, "left"
            )
        if self.station.briefing is None:
            words = _(
                "No safety briefing has been chosen for this treading. An organiser "
                "chooses it first, under “Change the plan”."
            )
            return Refusal(words, "plan")
        return refusal(
            self.station, _evening(self.where, turn.at), volunteer, self.known
        )

    def knows_the_work(self, volunteer: Volunteer) -> bool:
        """Tell whether somebody has the skill asked for, to the rota's last day."""
        return volunteer.pk in self.skilled


def fitness(plan: RotaPlan, people: Iterable[Volunteer]) -> Fitness:
    """Look up what the rules ask: three queries at most, however many they are.

    To the rules on age and briefings a turn is a station for treading at a gathering
    of its own, so that the two can never disagree. The one who watches from the bank is
    asked the same. Nobody is at the water unbriefed: without a briefing nobody is fit.
    """
    everybody = list(people)
    station = treading_station(plan.briefing)
    where = plan.ret.dam.demonstration
    last = datetime.combine(plan.last_day, time(12), tzinfo=where.zone)
    known = known_of(everybody, _evening(where, last), [station])
    asked = [plan.skill_id] if plan.skill_id else []
    pairs = able_pairs(everybody, asked, plan.last_day) if asked else set()
    return Fitness(station, where, known, frozenset(person for person, _ in pairs))


def treading_station(briefing: Briefing | None) -> Station:
    """Return a turn as the station that the rules on work at the water take it for."""
    return Station(
        kind=StationKind.TREAD,
        title=_("Treading the crop"),
        briefing=briefing,
        competence=None,
    )


def may_tick(user: User, demonstration: Demonstration) -> bool:
    """Tell whether somebody may answer for people without a telephone: two queries.

    Organisers may, and who leads a gathering of the demonstration.
    """
    organised = Demonstration.objects.managed_by(user).filter(pk=demonstration.pk)
    led = Gathering.objects.led_by(user).of(demonstration)
    return organised.exists() or led.exists()


def may_correct(reading: Reading, user: User) -> bool:
    """Tell whether somebody may correct a reading: theirs, or as for `may_tick`."""
    where = reading.ret.dam.demonstration
    return reading.entered_by_id == user.pk or may_tick(user, where)


def _evening(where: Demonstration, moment: datetime) -> Gathering:
    return Gathering(demonstration=where, starts_at=moment)


# Somebody waits for the page: the search is cut short, and what it found is shown
# as not proven. There are three aims, so a page takes thrice this at most.
SECONDS = 2.5


@dataclass(frozen=True, slots=True)
class ProposedTurn:
    """One turn of the proposal; without people it stays empty, with the reason."""

    turn: Treading
    people: tuple[Volunteer, ...]
    promised: frozenset[int]
    watcher: Volunteer | None = None
    reason: str = ""

    @property
    def treading(self) -> list[Volunteer]:
        return [who for who in self.people if who != self.watcher]


@dataclass(frozen=True, slots=True)
class Load:
    """How many turns one person has, those that are past among them."""

    volunteer: Volunteer
    turns: int


@dataclass(frozen=True, slots=True)
class Proposal:
    """Who treads when, how evenly, what stays empty, and whether that is the best."""

    plan: RotaPlan
    turns: tuple[ProposedTurn, ...]
    loads: tuple[Load, ...]
    spread: int
    proven: bool

    @property
    def empty(self) -> int:
        """How many turns stay without people."""
        return sum(bool(line.reason) for line in self.turns)

    @property
    def places(self) -> list[tuple[int, int, bool]]:
        """Who is on which turn, by their keys, and whether they watch."""
        return [
            (line.turn.pk, who.pk, who == line.watcher)
            for line in self.turns
            for who in line.people
        ]


@dataclass(frozen=True, slots=True)
class _Question:
    """A plan's turns, what people said of them, and which turns are past.

    Of the past, only the turns that somebody had are asked about.
    """

    plan: RotaPlan
    turns: list[Treading]
    rows: list[Treader]
    people: dict[int, Volunteer]
    past: set[int]

    @property
    def to_come(self) -> list[Treading]:
        return [turn for turn in self.turns if turn.pk not in self.past]


def work_out(plan: RotaPlan, now: datetime) -> Proposal:
    """Work the rota out for the turns to come: five queries at most.

    Turns that are past count towards rest days and fairness. People put on by hand
    stay on; people taken off by hand stay off. Of the people of a turn the one who
    watches already goes on watching, else the one who has watched least.
    """
    question = _question(plan, now)
    fit = fitness(plan, question.people.values())
    answer = rota.plan(
        [
            rota.Slot(str(turn.pk), turn.day, past=turn.pk in question.past)
            for turn in question.turns
        ],
        [_person(who, question, fit) for who in question.people.values()],
        rota.Rules(
            people_per_slot=plan.wanted,
            window_days=plan.in_days,
            most_in_window=plan.most_turns,
            experience=plan.skill_id is not None,
            seconds=SECONDS,
        ),
    )
    loads = answer.loads()
    return Proposal(
        plan=plan,
        turns=tuple(_proposed(question, answer)),
        loads=tuple(Load(who, loads[str(key)]) for key, who in question.people.items()),
        spread=answer.spread,
        proven=answer.proven,
    )


def _question(plan: RotaPlan, now: datetime) -> _Question:
    turns = list(Treading.objects.of_plan(plan).live().in_order())
    rows = list(Treader.objects.of_plan(plan).live().of_active().with_people())
    past = {turn.pk for turn in turns if turn.at <= now}
    had = {row.turn_id for row in rows if row.turn_id in past and _came(row)}
    return _Question(
        plan=plan,
        turns=[turn for turn in turns if turn.pk not in past or turn.pk in had],
        rows=rows,
        people={row.volunteer_id: row.volunteer for row in rows},
        past=past,
    )


def _proposed(question: _Question, answer: rota.Rota) -> Iterator[ProposedTurn]:
    """Yield the turns to come with their people."""
    people = question.people
    reasons = {one.slot: in_words(one.reason, WHY_UNFILLED) for one in answer.unfilled}
    watching = _watchers(question, answer)
    for turn in question.to_come:
        key = str(turn.pk)
        yield ProposedTurn(
            turn,
            tuple(people[int(person)] for person in answer.people_on(key)),
            frozenset(_promised(question.rows, turn)),
            people.get(watching.get(turn.pk, 0)),
            reasons.get(key, ""),
        )


def _watchers(question: _Question, answer: rota.Rota) -> dict[int, int]:
    """Name who watches on each turn to come, by their keys."""
    watch = [row for row in question.rows if row.watches]
    before = Counter(
        str(row.volunteer_id)
        for row in watch
        if row.turn_id in question.past and _came(row)
    )
    chosen = rota.watchers(
        answer,
        [str(turn.pk) for turn in question.to_come],
        named={str(row.turn_id): str(row.volunteer_id) for row in watch},
        watched=before,
    )
    return {int(turn): int(who) for turn, who in chosen.items()}


def _came(row: Treader) -> bool:
    """Tell whether somebody trod or watched or, where nobody wrote, was to."""
    return row.is_on if row.trod is None else row.trod or row.watches


def _person(who: Volunteer, question: _Question, fit: Fitness) -> rota.Person:
    mine = {row.turn_id: row for row in question.rows if row.volunteer_id == who.pk}
    free, fixed, given = set(), set(), set()
    for turn in question.turns:
        row = mine.get(turn.pk)
        if row is None:
            continue
        if turn.pk in question.past:
            if _came(row):
                fixed.add(str(turn.pk))
        elif row.state != TreaderState.CANNOT and fit.refusal(turn, who) is None:
            if row.is_on and row.by_hand:
                fixed.add(str(turn.pk))
            elif not row.by_hand:
                free.add(str(turn.pk))
                given |= {str(turn.pk)} if row.is_on else set()
    return rota.Person(
        str(who.pk),
        free=frozenset(free),
        fixed=frozenset(fixed),
        experienced=fit.knows_the_work(who),
        # Among rotas as full and as even, the one that changes least is the best.
        costs=dict.fromkeys(given, -1.0),
    )


def _promised(rows: Sequence[Treader], turn: Treading) -> list[int]:
    return [
        row.volunteer_id
        for row in rows
        if row.turn_id == turn.pk and row.is_on and row.by_hand
    ]
