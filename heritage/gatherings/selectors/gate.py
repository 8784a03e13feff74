"""The gate: who is still expected, who is here, who has gone, who else might come."""

from dataclasses import dataclass
from datetime import datetime

from heritage.gatherings.models import Gathering, Turnout
from heritage.people.models import Volunteer


@dataclass(frozen=True, slots=True)
class AtGate:
    """One person as the gate sees them."""

    volunteer: Volunteer
    station: str
    row: Turnout | None


@dataclass(frozen=True, slots=True)
class Initial:
    """Those of the list whose names begin with one letter."""

    letter: str
    people: tuple[Volunteer, ...]


@dataclass(frozen=True, slots=True)
class GatePage:
    """Everybody of tonight by where they are, and the rest of the list by letter."""

    gathering: Gathering
    expected: tuple[AtGate, ...]
    here: tuple[AtGate, ...]
    gone: tuple[AtGate, ...]
    others: tuple[Initial, ...]


def gate_page(gathering: Gathering, now: datetime) -> GatePage:
    """Return who stands where: three queries, however many they are."""
    marks = {row.volunteer_id: row for row in gathering.turnout.with_people()}
    places = {row.volunteer_id: row for row in gathering.sign_ups.held().for_page()}
    people = {key: row.volunteer for key, row in places.items()}
    people |= {key: row.volunteer for key, row in marks.items()}
    everybody = [
        AtGate(
            person,
            places[person.pk].station.title if person.pk in places else "",
            marks.get(person.pk),
        )
        for person in sorted(people.values(), key=_by_name)
    ]
    listed = Volunteer.objects.of(gathering.demonstration).active().by_name()
    rest = [person for person in listed if person.pk not in people]
    return GatePage(
        gathering=gathering,
        expected=tuple(one for one in everybody if one.row is None),
        here=tuple(one for one in everybody if one.row and _is_here(one.row, now)),
        gone=tuple(one for one in everybody if one.row and not _is_here(one.row, now)),
        others=_by_letter(rest),
    )


def _is_here(row: Turnout, now: datetime) -> bool:
    # Somebody written down for later tonight is on the list as here.
    return row.left_at is None or row.left_at > now


def _by_name(person: Volunteer) -> tuple[str, int]:
    return person.name.casefold(), person.pk


def _by_letter(people: list[Volunteer]) -> tuple[Initial, ...]:
    found: dict[str, list[Volunteer]] = {}
    for person in sorted(people, key=_by_name):
        found.setdefault(person.name[:1].upper(), []).append(person)
    return tuple(Initial(letter, tuple(rest)) for letter, rest in found.items())
