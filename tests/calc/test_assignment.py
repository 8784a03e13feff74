"""Nobody is worse off, nobody is where they may not be, and gaps say why."""

from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heritage.calc._milp import Program
from heritage.calc.assignment import (
    Gap,
    Move,
    Person,
    Station,
    Why,
    WhyShort,
    assign,
)
from tests.calc.strategies_places import evenings

BOTH = frozenset({"Pull", "Tie"})


def pair(*, pull=(4, 0), tie=(4, 0)):
    """Return two stations, each with its places and the fewest it needs."""
    return [Station("Pull", *pull), Station("Tie", *tie)]


def pullers(count, **ways):
    """Return people with a place at the pulling, willing and able to tie."""
    ways = {"also": frozenset({"Tie"}), "may": BOTH} | ways
    return [Person(f"P{n}", "Pull", **ways) for n in range(count)]


def short(stations, at):
    """Return how many each station lacks."""
    there = Counter(at.values())
    return {one.name: max(0, one.fewest - there[one.name]) for one in stations}


@given(evenings())
@settings(max_examples=60, deadline=None)
def test_what_is_suggested_can_be_done(evening):
    people, stations = evening
    found = assign(people, stations)
    assert found.proven
    there = Counter(found.at.values())
    assert all(there[one.name] <= one.places for one in stations)
    for person in people:
        where = found.at.get(person.name)
        if where not in (None, person.at) or (where and person.waits):
            assert where in person.may
            assert where == person.at or where in person.also
        if person.stays:
            assert where in (None, person.at)


@given(evenings())
@settings(max_examples=60, deadline=None)
def test_it_is_never_worse_than_now(evening):
    people, stations = evening
    found = assign(people, stations)
    holders = {person.name: person.at for person in people if not person.waits}
    assert holders.keys() <= found.at.keys()
    before, after = short(stations, holders), short(stations, found.at)
    assert found.short_after == sum(after.values()) <= found.short_before
    assert found.short_before == sum(before.values())
    assert all(after[name] == 0 for name, lack in before.items() if lack == 0)


@given(evenings())
@settings(max_examples=60, deadline=None)
def test_nobody_passes_somebody_who_waits_for_the_same(evening):
    people, stations = evening
    found = assign(people, stations)
    for rank, person in enumerate(people):
        left = person.waits and person.name not in found.at and person.at in person.may
        if left:
            passed = [one.name for one in people[rank + 1 :] if one.at == person.at]
            assert not set(passed) & set(found.moved_up)
            assert person.at not in {move.to for move in found.moves}


@given(evenings())
@settings(max_examples=40, deadline=None)
def test_what_is_suggested_needs_no_further_suggestion(evening):
    people, stations = evening
    found = assign(people, stations)
    then = [
        Person(
            one.name,
            found.at.get(one.name, one.at),
            waits=one.name not in found.at,
            also=one.also,
            may=one.may,
            stays=one.stays,
        )
        for one in people
    ]
    assert assign(then, stations).short_after == found.short_after


@given(evenings(), st.integers(0, 3))
@settings(max_examples=40, deadline=None)
def test_one_more_who_can_do_everything_never_leaves_more_missing(evening, where):
    people, stations = evening
    every = frozenset(station.name for station in stations)
    at = stations[where % len(stations)].name
    helper = Person("Helper", at, waits=True, also=every, may=every)
    more = assign([*people, helper], stations)
    assert more.short_after <= assign(people, stations).short_after


def test_a_station_that_is_short_is_filled_by_who_asked_last():
    found = assign(pullers(4), pair(tie=(4, 2)))
    assert found.moves == (
        Move("P2", "Pull", "Tie", waited=False, why=Why.FILLS),
        Move("P3", "Pull", "Tie", waited=False, why=Why.FILLS),
    )
    assert (found.short_before, found.short_after, found.gaps) == (2, 0, ())


def test_nobody_is_moved_without_need():
    found = assign(pullers(4), pair())
    assert (found.moves, found.moved_up) == ((), ())


def test_what_can_start_is_not_stopped_to_start_something_else():
    found = assign(pullers(3), pair(pull=(4, 3), tie=(4, 3)))
    assert found.moves == ()
    (gap,) = found.gaps
    assert gap == Gap("Tie", 3, WhyShort.NEEDED_ELSEWHERE, ())


def test_one_station_that_starts_is_better_than_two_that_do_not():
    """Two of three at each: one of them goes over, and three can start."""
    tiers = [Person(f"T{n}", "Tie", may=BOTH) for n in range(2)]
    found = assign([*pullers(2), *tiers], pair(pull=(4, 3), tie=(4, 3)))
    assert [(move.person, move.to) for move in found.moves] == [("P1", "Tie")]
    assert [gap.station for gap in found.gaps] == ["Pull"]
    assert found.short_after == found.short_before == 2


def test_who_waits_is_given_a_place_they_also_wished_for():
    waiting = Person("W", "Pull", waits=True, also=frozenset({"Tie"}), may=BOTH)
    found = assign([*pullers(1, also=frozenset()), waiting], pair(pull=(1, 0)))
    assert found.moves == (Move("W", "Pull", "Tie", waited=True, why=Why.PLACE),)


def test_somebody_makes_room_for_who_can_only_work_there():
    """P0 goes to tie, and W, who waits for the pulling alone, moves up."""
    waiting = Person("W", "Pull", waits=True, may=BOTH)
    found = assign([*pullers(1), waiting], pair(pull=(1, 0)))
    assert found.moves == (Move("P0", "Pull", "Tie", waited=False, why=Why.ROOM),)
    assert found.moved_up == ("W",)


def test_who_waits_and_fills_a_gap_is_said_to_fill_it():
    waiting = Person("W", "Pull", waits=True, also=frozenset({"Tie"}), may=BOTH)
    found = assign([*pullers(1), waiting], pair(pull=(1, 0), tie=(1, 1)))
    assert found.moves == (Move("W", "Pull", "Tie", waited=True, why=Why.FILLS),)


def test_the_first_to_ask_is_the_first_to_be_placed():
    waiting = [
        Person(f"W{n}", "Pull", waits=True, also=frozenset({"Tie"}), may=BOTH)
        for n in range(3)
    ]
    found = assign([*pullers(1), *waiting], pair(pull=(1, 0), tie=(2, 0)))
    assert [move.person for move in found.moves] == ["W0", "W1"]


def test_whoever_may_not_is_passed_over_in_the_queue():
    waiting = [
        Person("Unbriefed", "Pull", waits=True),
        Person("Briefed", "Pull", waits=True, may=BOTH),
    ]
    assert assign(waiting, pair()).moved_up == ("Briefed",)


def test_whoever_is_to_stay_stays():
    assert assign(pullers(4, stays=True), pair(tie=(4, 2))).moves == ()


def test_a_station_with_more_than_its_places_sends_nobody_away():
    found = assign(pullers(3, also=frozenset()), pair(pull=(2, 0)))
    assert len(found.at) == 3


@pytest.mark.parametrize(
    ("people", "reason", "not_yet"),
    [
        ([], WhyShort.NOBODY_WISHES, ()),
        (
            pullers(2, may=frozenset({"Pull"})),
            WhyShort.NOT_YET,
            ("P0", "P1"),
        ),
        (
            [Person("W", "Tie", waits=True)],
            WhyShort.NOT_YET,
            ("W",),
        ),
    ],
)
def test_what_cannot_be_filled_says_why(people, reason, not_yet):
    (gap,) = assign(people, pair(tie=(4, 2))).gaps
    assert (gap.station, gap.missing) == ("Tie", 2)
    assert (gap.reason, gap.not_yet) == (reason, not_yet)


def test_nobody_and_nowhere():
    assert assign([], []).at == {}


def test_out_of_time_everybody_is_left_where_they_are(monkeypatch):
    monkeypatch.setattr(Program, "minimise", lambda *_, **__: None)
    found = assign(pullers(2), pair(tie=(4, 2)))
    assert (found.at, found.proven) == ({"P0": "Pull", "P1": "Pull"}, False)


def test_out_of_time_later_on_the_best_so_far_is_kept(monkeypatch):
    """The first aims were reached: the gap is filled, if not proven best."""
    real, asked = Program.minimise, []

    def once(self, costs, **ways):
        asked.append(costs)
        return real(self, costs, **ways) if len(asked) == 1 else None

    monkeypatch.setattr(Program, "minimise", once)
    found = assign(pullers(4), pair(tie=(4, 2)))
    assert (found.short_after, found.proven) == (0, False)


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: Station("Tie", 2, 3), "fewest cannot be more than places"),
        (lambda: Station("Tie", -1), "places must be 0 or more"),
        (lambda: assign(pullers(1) * 2, pair()), "names of their own, not P0 twice"),
        (lambda: assign([], pair() * 2), "stations must have names of their own"),
        (lambda: assign([Person("A", "Dam")], pair()), "A names no station by Dam"),
    ],
)
def test_what_could_not_be_is_refused(make, message):
    with pytest.raises(ValueError, match=message):
        make()
