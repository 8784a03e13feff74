"""The treading rota: who is at the dam when, fairly and never alone."""

from collections import Counter
from collections.abc import Mapping, Sequence

from ._checks import refuse_twice
from ._milp import Solution
from ._rota_model import Person, Rota, Rules, Slot, Turn, Unfilled, WhyUnfilled
from ._rota_program import RotaProgram
from .reasons import Reason

__all__ = [
    "Person",
    "Rota",
    "Rules",
    "Slot",
    "Turn",
    "Unfilled",
    "WhyUnfilled",
    "plan",
    "watchers",
]


def plan(
    slots: Sequence[Slot], people: Sequence[Person], rules: Rules | None = None
) -> Rota:
    """Fill as many slots as the rules allow, as evenly as can be.

    Parameters
    ----------
    slots : sequence of Slot
        The turns to be filled, in the order they are to come back.
    people : sequence of Person
        Who may be asked, and when they are free.
    rules : Rules, optional
        What has to be kept; the defaults if not given.

    Returns
    -------
    Rota
        Turns, spread, the slots that stay empty with their reasons, and whether the
        rota is proven the best. Most slots come first, then evenness, then wishes.

    Raises
    ------
    ValueError
        If a name comes twice, or a person names a slot that is not there.

    References
    ----------
    .. [1] Solved as a mixed-integer program by HiGHS (scipy.optimize.milp). Two
       people or more, rest days and one who knows the work are our own rules; treading
       morning and night is common practice without a printed source.
    """
    refuse_twice((slot.name for slot in slots), "slots")
    refuse_twice((person.name for person in people), "people")
    _refuse_unknown(slots, people)
    if not slots:
        return Rota((), 0, (), proven=True)
    program = RotaProgram(slots, people, rules or Rules())
    best, proven = program.solve()
    turns = _turns(program, best)
    full = {turn.slot for turn in turns}
    return Rota(
        turns=turns,
        spread=_spread(program, turns),
        unfilled=tuple(
            _why_empty(program, slot) for slot in slots if slot.name not in full
        ),
        proven=proven,
    )


def watchers(
    rota: Rota,
    slots: Sequence[str],
    *,
    named: Mapping[str, str] | None = None,
    watched: Mapping[str, int] | None = None,
) -> dict[str, str]:
    """Name one of each slot's people to watch from the bank, in turns.

    Parameters
    ----------
    rota : Rota
        Who is on which slot.
    slots : sequence of str
        The slots to name somebody for, in the order they fall; one without people
        gets nobody.
    named : mapping of str to str, optional
        Who is named already, by slot; they stay if they are still on it.
    watched : mapping of str to int, optional
        How often each has watched before, by person.

    Returns
    -------
    dict of str to str
        The watcher of each slot: who has watched least so far and, of those, the
        first by the order of the rota.

    References
    ----------
    .. [1] A watcher who does nothing else is common practice at the water, without a
       printed source; sharing the watching is our own rule.
    """
    chosen = {
        slot: who
        for slot, who in (named or {}).items()
        if who in rota.people_on(slot) and slot in slots
    }
    count = Counter(watched or {})
    count.update(chosen.values())
    for slot in slots:
        people = rota.people_on(slot)
        if people and slot not in chosen:
            chosen[slot] = min(people, key=lambda name: count[name])
            count[chosen[slot]] += 1
    return chosen


def _refuse_unknown(slots: Sequence[Slot], people: Sequence[Person]) -> None:
    """Refuse a person who names a slot that is not there."""
    known = {slot.name for slot in slots}
    for person in people:
        named = person.free | person.fixed | person.refused | person.costs.keys()
        if strange := sorted(named - known):
            raise ValueError(f"people: {person.name} names no slot by {strange[0]}")


def _turns(program: RotaProgram, best: Solution | None) -> tuple[Turn, ...]:
    """Read the turns out of a solution, slot by slot."""
    if best is None:
        return ()
    return tuple(
        Turn(slot.name, person.name)
        for slot in program.slots
        for person in program.people
        if slot.name in person.can and best.values[program.on[person.name, slot.name]]
    )


def _spread(program: RotaProgram, turns: Sequence[Turn]) -> int:
    """Return the turns of the busiest less those of the least busy sharer."""
    names = [turn.person for turn in turns]
    most = max((names.count(person.name) for person in program.people), default=0)
    alike = [names.count(person.name) for person in program.sharers()]
    return most - min(alike, default=most)


def _why_empty(program: RotaProgram, slot: Slot) -> Unfilled:
    """Say why a slot stays empty."""
    able = [person for person in program.people if slot.name in person.can]
    takes = program.takes(slot)
    fixed = sum(slot.name in person.fixed for person in able)
    if len(able) < takes:
        reason = Reason(WhyUnfilled.TOO_FEW, {"takes": takes, "could": len(able)})
    elif program.rules.experience and not any(person.experienced for person in able):
        reason = Reason(WhyUnfilled.NOBODY_EXPERIENCED)
    elif fixed > takes:
        figures = {"takes": takes, "promised": fixed}
        reason = Reason(WhyUnfilled.TOO_MANY_PROMISED, figures)
    else:
        reason = Reason(WhyUnfilled.REST_AND_LIMITS)
    return Unfilled(slot.name, tuple(person.name for person in able), reason)
