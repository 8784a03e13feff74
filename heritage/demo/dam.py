"""The dam of the show: its book, and its treading with a gap in the rota."""

from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime, time, timedelta
from decimal import Decimal

from heritage.briefings.models import Briefing
from heritage.briefings.selectors import heard_pairs
from heritage.dam import selectors
from heritage.dam.learning.services import add_look
from heritage.dam.models import (
    Dam,
    DamWork,
    Finding,
    FlowTest,
    Half,
    LeakTest,
    Ret,
    RotaPlan,
    Treading,
    WaterAsked,
)
from heritage.dam.rota.selectors import work_out
from heritage.dam.rota.services import answer, plan_treading, take_rota
from heritage.dam.treading.services import record_treading
from heritage.dam.works import services as works
from heritage.people.models import Letter, LetterState, User, Volunteer
from heritage.season.models import Demonstration

BEGAN = date(2026, 8, 10)
TREADERS = 11
# The show's evening is the 12th: the turn after the next has lost somebody.
GAP = date(2026, 8, 13)


class DamBook:
    """The dam before its first filling and after it, up to the moment shown."""

    def __init__(self, dam: Dam, now: datetime) -> None:
        self.dam, self.now = dam, now

    def make(self, book: Mapping[str, Sequence[Sequence[str]]]) -> None:
        """Write each line on its own day, with the moment before its words."""
        kinds: dict[str, Callable[..., None]] = {
            "works": self.work,
            "leaks": self.leak,
            "flows": self.flow,
            "asked": self.ask,
        }
        for name, write in kinds.items():
            for moment, *line in book[name]:
                at = datetime.fromisoformat(moment)
                if at <= self.now:
                    write(at, *line)

    def work(self, at: datetime, kind: str, note: str) -> None:
        values = {"kind": kind, "day": at.date(), "note": note}
        works.keep_work(work=DamWork(dam=self.dam), values=values, today=at.date())

    def leak(self, at: datetime, *line: str) -> None:
        first_at, first, second, rain = line
        values = {
            "first_at": datetime.fromisoformat(first_at),
            "first_depth_m": Decimal(first),
            "second_at": at,
            "second_depth_m": Decimal(second),
            "rain_mm": Decimal(rain),
        }
        works.keep_leak(test=LeakTest(dam=self.dam), values=values, now=at)

    def flow(self, at: datetime, supply: str, litres: str, *seconds: str) -> None:
        tries = ("first_s", "second_s", "third_s")
        values = dict(zip(tries, map(Decimal, seconds), strict=True))
        values |= {"litres": Decimal(litres)}
        known = {"day": at.date(), "supply": supply}
        works.keep_flow(
            test=FlowTest(dam=self.dam), values=values | known, today=at.date()
        )

    def ask(self, at: datetime, *line: str) -> None:
        about, asked_on, answer, words = line
        values = {
            "about": about,
            "who": "The rivers office (invented)",
            "asked_on": date.fromisoformat(asked_on),
            "answer": answer,
            "answered_on": at.date(),
            "words": words,
        }
        works.keep_asked(asked=WaterAsked(dam=self.dam), values=values, today=at.date())


class TreadingShow:
    """The making of the rota, each step with the moment it happened."""

    def __init__(
        self, demonstration: Demonstration, organiser: User, now: datetime
    ) -> None:
        self.organiser, self.now = organiser, now
        self.ret = Ret.objects.of(demonstration).going().newest_first()[0]
        self.then = datetime.combine(BEGAN, time(7), tzinfo=demonstration.zone)
        self.crew: list[Volunteer] = []

    def make(self) -> None:
        """Plan, ask, work out, take; write down three turns; lose somebody."""
        self.see_it_work()
        plan = self.plan()
        turns = list(Treading.objects.of_ret(self.ret).for_page().in_order())
        self.ask(turns)
        places = work_out(plan, self.then).places
        take_rota(ret=self.ret, places=places, by=self.organiser, now=self.then)
        self.count_letters_as_sent()
        self.write_down(turns[:4])
        self.lose_somebody(turns)

    def plan(self) -> RotaPlan:
        """Plan the treading, from the first day to the last that it may take."""
        state = selectors.ret_page(self.ret, self.now).state
        zone = self.ret.dam.demonstration.zone
        late = state.late or self.now + timedelta(days=6)
        return plan_treading(
            ret=self.ret,
            values={
                "first_day": BEGAN,
                "last_day": late.astimezone(zone).date(),
                "morning": time(8),
                "evening": time(18),
                "people": 2,
                "most_turns": 3,
                "in_days": 4,
                "briefing": self.brief(),
                "skill": None,
            },
            by=self.organiser,
            now=self.then,
        )

    def see_it_work(self) -> None:
        """Write into the test book that the bubbles rise, as its last test's note says.

        By it the dam's page knows which stones are wanted.
        """
        at = self.ret.checks.standing().newest_first()[0].at + timedelta(minutes=5)
        add_look(
            ret=self.ret,
            at=at,
            found={Finding.BUBBLES: 1},
            note="All over the dam.",
            by=self.organiser,
            now=at,
        )

    def brief(self) -> Briefing:
        """Return the dam's briefing, which the crew has heard."""
        where = self.ret.dam.demonstration
        briefing = Briefing.objects.of(where).get(title="Working at the dam")
        adults = Volunteer.objects.of(where).active().adults().by_name()
        heard = heard_pairs(adults, [briefing])
        self.crew = [who for who in adults if (who.pk, briefing.pk) in heard][:TREADERS]
        return briefing

    def count_letters_as_sent(self) -> None:
        """Let the letters count as gone: the show sends no mail, then or later."""
        rows = Letter.objects.of(self.ret.dam.demonstration).queued()
        rows.update(state=LetterState.SENT, sent_at=self.then, attempts=1)

    def ask(self, turns: list[Treading]) -> None:
        """Let everybody say when they can come: not each for every turn."""
        for number, who in enumerate(self.crew):
            for place, turn in enumerate(turns):
                can = (number + place) % 3 != 0
                if can or (number + place) % 2:
                    self.say(turn, who, can=can, now=self.then)

    def say(self, turn: Treading, who: Volunteer, *, can: bool, now: datetime) -> None:
        """Say for somebody whether they can come."""
        answer(turn=turn, volunteer=who, can=can, by=self.organiser, now=now)

    def write_down(self, turns: list[Treading]) -> None:
        """Who trod?, but for one turn that nobody wrote of."""
        notes = [
            "The flax stands two hands above the water.",
            "",
            "It has risen a little.",
        ]
        for turn, note in zip([turns[0], turns[1], turns[3]], notes, strict=True):
            at = turn.at + timedelta(minutes=10)
            rows = list(turn.treaders.on().with_people())
            record_treading(
                turn=turn,
                people=[row.volunteer for row in rows if not row.watches]
                or self.crew[:2],
                watcher=next(
                    (row.volunteer for row in rows if row.watches), self.crew[2]
                ),
                trodden_at=at,
                note=note,
                why_alone="",
                by=self.organiser,
                now=at + timedelta(minutes=40),
            )

    def lose_somebody(self, turns: list[Treading]) -> None:
        """Have somebody say that they cannot come after all."""
        turn = next(one for one in turns if (one.day, one.half) == (GAP, Half.EVENING))
        row = turn.treaders.on().with_people().first()
        if row:
            self.say(turn, row.volunteer, can=False, now=self.now - timedelta(hours=2))
