"""The rota keeps every rule, says what it cannot fill, and shares evenly."""

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heritage.calc._milp import Program
from heritage.calc.reasons import Reason
from heritage.calc.rota import (
    Person,
    Rota,
    Rules,
    Slot,
    Turn,
    WhyUnfilled,
    plan,
    watchers,
)
from tests.calc.strategies_water import rotas

FIRST = date(2026, 8, 21)


def slots_over(days, parts=("morning", "evening")):
    """Return a slot for each part of each day."""
    return [
        Slot(f"{n} {part}", FIRST + timedelta(days=n))
        for n in range(days)
        for part in parts
    ]


def names(slots):
    """Return the slots' names."""
    return frozenset(slot.name for slot in slots)


def everybody(count, slots, **overrides):
    """Return people who are all free throughout and know the work."""
    return [
        Person(f"P{n:02}", names(slots), **({"experienced": True} | overrides))
        for n in range(count)
    ]


@given(rotas())
@settings(max_examples=40, deadline=None)
def test_every_rule_is_kept(case):
    slots, people, rules = case
    rota = plan(slots, people, rules)
    who = {person.name: person for person in people}
    when = {slot.name: slot.day for slot in slots}
    empty = {gap.slot for gap in rota.unfilled}
    for slot in slots:
        on = [who[name] for name in rota.people_on(slot.name)]
        takes = slot.people or rules.people_per_slot
        assert len(on) == (0 if slot.name in empty else takes)
        assert slot.name in empty or any(p.experienced for p in on)
        assert all(slot.name in p.can for p in on)
        promised = {p.name for p in people if slot.name in p.fixed}
        assert slot.name in empty or promised <= {p.name for p in on}
    for person in people:
        days = [when[turn.slot] for turn in rota.turns if turn.person == person.name]
        assert len(days) <= (len(slots) if person.most is None else person.most)
        assert len(days) == len(set(days))
        for day in days:
            run = [d for d in days if 0 <= (d - day).days < rules.window_days]
            assert len(run) <= rules.most_in_window
    assert rota.proven


@given(rotas(), st.randoms())
@settings(max_examples=25, deadline=None)
def test_the_order_of_the_people_changes_neither_gaps_nor_spread(case, random):
    slots, people, rules = case
    shuffled = random.sample(people, len(people))
    one, other = plan(slots, people, rules), plan(slots, shuffled, rules)
    assert len(one.unfilled) == len(other.unfilled)
    assert one.spread == other.spread


@given(rotas())
@settings(max_examples=25, deadline=None)
def test_one_more_who_can_always_come_never_leaves_more_empty(case):
    slots, people, rules = case
    helper = Person("Helper", names(slots), experienced=True)
    before, after = plan(slots, people, rules), plan(slots, [*people, helper], rules)
    assert len(after.unfilled) <= len(before.unfilled)


def test_ten_people_share_a_fortnight_within_one_turn():
    slots = slots_over(14)
    rota = plan(slots, everybody(10, slots))
    assert rota.spread == 1
    assert sorted(rota.loads().values()) == [5] * 4 + [6] * 6
    assert rota.unfilled == ()


def test_wishes_are_kept_where_they_cost_no_evenness():
    slots = slots_over(1)
    early, late = (slot.name for slot in slots)
    people = [
        *everybody(2, slots, costs={early: 5.0}),
        Person("Zed", names(slots), costs={late: 1.0}, experienced=True),
        Person("Yan", names(slots), costs={late: 1.0}, experienced=True),
    ]
    rota = plan(slots, people)
    assert rota.people_on(early) == ("Zed", "Yan")
    assert rota.people_on(late) == ("P00", "P01")


def test_a_wish_is_a_cost_below_nought():
    slots = slots_over(1, ("evening",))
    people = [
        *everybody(3, slots),
        Person("Zed", names(slots), costs={"0 evening": -1}),
    ]
    assert "Zed" in plan(slots, people).people_on("0 evening")


def test_whoever_names_a_limit_does_not_widen_the_spread_for_all():
    slots = slots_over(14)
    few = Person("Few", names(slots), experienced=True, most=1)
    rota = plan(slots, [*everybody(9, slots), few])
    assert rota.loads()["Few"] <= 1
    assert rota.spread <= 1


def test_whoever_is_never_free_does_not_count_for_the_spread():
    slots = slots_over(4)
    away = Person("Away", frozenset())
    assert plan(slots, [*everybody(8, slots), away]).spread == 0


def test_when_everybody_names_a_limit_they_share_alike():
    slots = slots_over(4)
    rota = plan(slots, everybody(4, slots, most=4))
    assert set(rota.loads().values()) == {3}, "three of any four days, for each of four"
    assert (rota.spread, len(rota.unfilled)) == (0, 2)


def test_a_promise_is_kept_even_to_somebody_not_free():
    slots = slots_over(2)
    late = Person("Late", frozenset(), fixed=frozenset({"1 evening"}))
    rota = plan(slots, [*everybody(8, slots), late])
    assert "Late" in rota.people_on("1 evening")


def test_a_slot_may_take_more_than_the_rest():
    slots = [*slots_over(1), Slot("stoning", FIRST, people=4)]
    rota = plan(slots, everybody(8, slots))
    assert len(rota.people_on("stoning")) == 4
    assert rota.spread == 0


@pytest.mark.parametrize(
    ("people", "code", "figures"),
    [
        ([], WhyUnfilled.TOO_FEW, {"takes": 2, "could": 0}),
        ([{}], WhyUnfilled.TOO_FEW, {"takes": 2, "could": 1}),
        ([{"experienced": False}] * 3, WhyUnfilled.NOBODY_EXPERIENCED, {}),
        (
            [{"fixed": frozenset({"0 evening"})}] * 3,
            WhyUnfilled.TOO_MANY_PROMISED,
            {"takes": 2, "promised": 3},
        ),
        ([{"most": 0}] * 3, WhyUnfilled.REST_AND_LIMITS, {}),
    ],
)
def test_an_empty_slot_says_why(people, code, figures):
    slots = slots_over(1, ("evening",))
    cast = [
        everybody(n + 1, slots, **overrides)[-1] for n, overrides in enumerate(people)
    ]
    rota = plan(slots, cast)
    (gap,) = rota.unfilled
    assert gap.reason == Reason(code, figures)
    assert gap.free == tuple(person.name for person in cast)
    assert (rota.turns, rota.spread) == ((), 0)


def test_a_refusal_takes_somebody_off():
    slots = slots_over(1, ("evening",))
    people = [*everybody(2, slots), Person("No", names(slots), refused=names(slots))]
    assert plan(slots, people).people_on("0 evening") == ("P00", "P01")


def test_beginners_may_tread_alone_together_if_the_rules_say_so():
    slots = slots_over(1, ("evening",))
    beginners = everybody(2, slots, experienced=False)
    assert plan(slots, beginners, Rules(experience=False)).unfilled == ()


def test_nothing_to_fill_is_filled():
    assert plan([], everybody(2, [])) == Rota((), 0, (), proven=True)


def test_turns_come_in_the_order_of_the_slots():
    slots = slots_over(1, ("morning",))
    assert plan(slots, everybody(2, slots)).turns == (
        Turn("0 morning", "P00"),
        Turn("0 morning", "P01"),
    )


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: Slot("a", FIRST, people=1), "people must be 2 or more"),
        (lambda: Rules(people_per_slot=1), "people_per_slot must be 2 or more"),
        (lambda: Rules(most_per_day=0), "most_per_day must be 1 or more"),
        (lambda: Rules(seconds=0), "seconds must be above zero"),
        (lambda: Person("A", frozenset(), most=-1), "most must be 0 or more"),
        (
            lambda: Person("A", frozenset(), costs={"x": float("nan")}),
            r"costs\[x\] must be a finite number",
        ),
        (
            lambda: Person(
                "A", frozenset(), fixed=frozenset("x"), refused=frozenset("x")
            ),
            "A is both fixed on and refused for x",
        ),
        (
            lambda: plan([Slot("a", FIRST)] * 2, []),
            "slots must have names of their own",
        ),
        (
            lambda: plan([], [Person("A", frozenset())] * 2),
            "people must have names of their own, not A twice",
        ),
        (lambda: plan([], [Person("A", frozenset("x"))]), "A names no slot by x"),
    ],
)
def test_what_makes_no_sense_is_refused(make, message):
    with pytest.raises(ValueError, match=message):
        make()


def test_out_of_time_with_nothing_found_everything_is_named_unfilled(monkeypatch):
    slots = slots_over(3)
    monkeypatch.setattr(Program, "minimise", lambda *_, **__: None)
    rota = plan(slots, everybody(8, slots))
    assert not rota.proven
    assert rota.turns == ()
    assert [gap.slot for gap in rota.unfilled] == [slot.name for slot in slots]


def test_out_of_time_half_way_the_better_half_is_kept(monkeypatch):
    slots, whole, tries = slots_over(3), Program.minimise, []

    def first_only(self, costs, **settings):
        tries.append(costs)
        return whole(self, costs, **settings) if len(tries) == 1 else None

    monkeypatch.setattr(Program, "minimise", first_only)
    rota = plan(slots, everybody(8, slots))
    assert not rota.proven
    assert rota.unfilled == ()


def test_the_solver_that_runs_out_of_time_finds_nothing():
    program = Program()
    rng = np.random.default_rng(7)
    taken = [program.variable() for _ in range(60)]
    for _ in range(30):
        weights = rng.integers(10, 99, size=60).astype(float)
        half = float(weights.sum() // 2)
        program.require(dict(zip(taken, weights, strict=True)), least=half, most=half)
    assert program.minimise(dict.fromkeys(taken, 1.0), seconds=1e-6) is None


def test_what_has_been_stands_as_it_was_and_counts_for_rest():
    """One alone and too many turns are no reason to plan nothing; they weigh."""
    slots = [
        Slot("0 morning", FIRST, past=True),
        Slot("0 evening", FIRST, past=True),
        *slots_over(3)[2:4],
    ]
    ahead = frozenset({"1 morning", "1 evening"})
    tired = Person("Ann", ahead, fixed=frozenset({"0 morning", "0 evening"}))
    rested = [Person(name, ahead, experienced=True) for name in ("Ben", "Cat", "Dan")]
    rota = plan(slots, [tired, *rested], Rules(most_in_window=2, window_days=2))
    assert rota.people_on("0 morning") == rota.people_on("0 evening") == ("Ann",)
    # Two of three share one of the turns left; Ann has had her two.
    assert "Ann" not in rota.people_on("1 morning") + rota.people_on("1 evening")
    assert len(rota.unfilled) == 1


def test_what_has_been_asks_for_nobody_who_knows_the_work():
    slots = [Slot("0 morning", FIRST, past=True), Slot("0 evening", FIRST)]
    been = frozenset({"0 morning"})
    new = [Person(name, frozenset(), fixed=been) for name in ("Ann", "Ben")]
    able = everybody(2, slots[1:])
    rota = plan(slots, [*new, *able])
    assert rota.people_on("0 morning") == ("Ann", "Ben")
    assert rota.people_on("0 evening") == ("P00", "P01")
    assert rota.unfilled == ()


@given(rotas())
@settings(max_examples=25, deadline=None)
def test_every_filled_slot_has_one_watcher_who_is_on_it(case):
    slots, people, rules = case
    rota = plan(slots, people, rules)
    names = [slot.name for slot in slots]
    found = watchers(rota, names)
    assert set(found) == {turn.slot for turn in rota.turns}
    assert all(who in rota.people_on(slot) for slot, who in found.items())


def test_the_watching_goes_round_and_counts_what_was_watched_before():
    turns = tuple(Turn(slot, who) for slot in "abcd" for who in ("Ann", "Ben", "Cat"))
    rota = Rota(turns, 0, (), proven=True)
    found = watchers(rota, list("abcd"), watched={"Ann": 1})
    assert found == {"a": "Ben", "b": "Cat", "c": "Ann", "d": "Ben"}


def test_whoever_is_named_watches_if_they_are_on_it():
    turns = tuple(Turn(slot, who) for slot in "ab" for who in ("Ann", "Ben", "Cat"))
    rota = Rota(turns, 0, (), proven=True)
    found = watchers(rota, ["a", "b"], named={"a": "Cat", "b": "Zed", "z": "Ann"})
    assert found == {"a": "Cat", "b": "Ann"}
