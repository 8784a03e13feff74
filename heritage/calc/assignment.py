"""Who works where of an evening: the fewest first, then wishes, then few moves."""

from collections import Counter
from collections.abc import Sequence

from ._assignment_model import Assignment, Gap, Move, Person, Station, Why, WhyShort
from ._assignment_program import AssignmentProgram
from ._checks import refuse_twice

__all__ = [
    "Assignment",
    "Gap",
    "Move",
    "Person",
    "Station",
    "Why",
    "WhyShort",
    "assign",
]


def assign(people: Sequence[Person], stations: Sequence[Station]) -> Assignment:
    """Suggest who works where, leaving as they are all who need not move.

    Parameters
    ----------
    people : sequence of Person
        Who has a place or waits for one, in the order in which they asked.
    stations : sequence of Station
        The jobs of the evening, in the order in which they are listed.

    Returns
    -------
    Assignment
        Of all that is allowed, what leaves the fewest missing at the stations
        together; then the most stations that can start; then the most people with a
        place; then the most at their first choice; then the fewest moves of those
        who have a place. Among equals the one who asked first is placed, and the one
        who asked last is moved. Nobody loses a place, no station that could start is
        stopped, and nobody passes somebody who waits for the same station.

    Raises
    ------
    ValueError
        If a name comes twice, or somebody is at a station that is not there.

    References
    ----------
    .. [1] H. W. Kuhn, Naval Research Logistics Quarterly 2 (1955) 83-97: the
       assignment problem. Solved here as a whole-number program by HiGHS
       (scipy.optimize.milp), one aim after the other. The order of the aims is our
       own, and so is the rule that nobody passes the queue.
    """
    refuse_twice((person.name for person in people), "people")
    refuse_twice((station.name for station in stations), "stations")
    _refuse_unknown(people, stations)
    if not people or not stations:
        return _as_they_are(people, stations)
    program = AssignmentProgram(people, stations)
    best, proven = program.solve()
    if best is None:
        return _as_they_are(people, stations, proven=False)
    at = {who: where for (who, where), n in program.on.items() if best.values[n]}
    return _described(people, stations, at, proven=proven)


def _refuse_unknown(people: Sequence[Person], stations: Sequence[Station]) -> None:
    """Refuse anybody who is at a station that is not there, or would go to one."""
    known = {station.name for station in stations}
    for person in people:
        if strange := sorted(({person.at} | person.also | person.may) - known):
            raise ValueError(f"people: {person.name} names no station by {strange[0]}")


def _as_they_are(
    people: Sequence[Person], stations: Sequence[Station], *, proven: bool = True
) -> Assignment:
    """Return what stands, unchanged."""
    at = {person.name: person.at for person in people if not person.waits}
    return _described(people, stations, at, proven=proven)


def _described(
    people: Sequence[Person],
    stations: Sequence[Station],
    at: dict[str, str],
    *,
    proven: bool,
) -> Assignment:
    """Say what an assignment changes, and what it leaves short."""
    before = Counter(person.at for person in people if not person.waits)
    lacks = {one.name: max(0, one.fewest - before[one.name]) for one in stations}
    gaps = _gaps(people, stations, at)
    going = [person for person in people if person.name in at]
    return Assignment(
        at=at,
        moves=tuple(
            _move(person, at[person.name], lacks)
            for person in going
            if at[person.name] != person.at
        ),
        moved_up=tuple(
            person.name
            for person in going
            if person.waits and at[person.name] == person.at
        ),
        gaps=gaps,
        short_before=sum(lacks.values()),
        short_after=sum(gap.missing for gap in gaps),
        proven=proven,
    )


def _move(person: Person, to: str, lacks: dict[str, int]) -> Move:
    """Say what one move is good for."""
    spare = Why.PLACE if person.waits else Why.ROOM
    why = Why.FILLS if lacks[to] else spare
    return Move(person.name, person.at, to, person.waits, why)


def _gaps(
    people: Sequence[Person], stations: Sequence[Station], at: dict[str, str]
) -> tuple[Gap, ...]:
    """Say which stations stay short."""
    after = Counter(at.values())
    return tuple(
        _gap(one, one.fewest - after[one.name], people, at)
        for one in stations
        if after[one.name] < one.fewest
    )


def _gap(
    station: Station, missing: int, people: Sequence[Person], at: dict[str, str]
) -> Gap:
    """Say why a station stays short."""
    name = station.name
    willing = [one for one in people if name in one.also or name == one.at]
    elsewhere = [one for one in willing if at.get(one.name) != name]
    not_yet = tuple(one.name for one in elsewhere if name not in one.may)
    able = [one for one in elsewhere if name in one.can]
    if able:
        reason = WhyShort.NEEDED_ELSEWHERE
    elif not_yet:
        reason = WhyShort.NOT_YET
    else:
        reason = WhyShort.NOBODY_WISHES
    return Gap(name, missing, reason, not_yet)
