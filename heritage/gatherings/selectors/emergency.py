"""Whom to call, and what a first-aider should know, of those at one gathering."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from heritage.gatherings.models import Gathering
from heritage.people.models import HealthNote, Volunteer


@dataclass(frozen=True, slots=True)
class ToCall:
    """Somebody at the gathering, and whom to call for them."""

    volunteer: Volunteer
    has_come: bool
    note: str = ""

    @property
    def contacts(self) -> list[tuple[str, str]]:
        """Whom to call and their number: as named, and a child's guardian too."""
        person, found = self.volunteer, []
        if person.emergency_phone:
            found.append((person.emergency_name, person.emergency_phone))
        guardian = person.guardian
        if guardian and guardian.phone:
            found.append((guardian.name, guardian.phone))
        if guardian and guardian.emergency_phone and not found:
            found.append((guardian.emergency_name, guardian.emergency_phone))
        return found


@dataclass(frozen=True, slots=True)
class EmergencyPage:
    """Everybody signed up or there, by name; with notes only for a first-aider."""

    gathering: Gathering
    people: tuple[ToCall, ...]

    @property
    def with_notes(self) -> list[ToCall]:
        """Those a first-aider should know something of."""
        return [one for one in self.people if one.note]


def emergency_page(gathering: Gathering) -> EmergencyPage:
    """List whom to call for everybody at a gathering, and no note: three queries."""
    here, came = _people(gathering)
    return EmergencyPage(gathering, _lines(here, came, {}))


def first_aid_page(gathering: Gathering, now: datetime) -> EmergencyPage:
    """List whom to call and the notes that may be read: four queries.

    The asker's right is the view's to settle, by ``Gathering.first_aid_by``.
    """
    here, came = _people(gathering)
    day = now.astimezone(gathering.demonstration.zone).date()
    notes = _notes((person.pk for person in here), day)
    return EmergencyPage(gathering, _lines(here, came, notes))


def _people(gathering: Gathering) -> tuple[list[Volunteer], set[int]]:
    """Return those with a place or who came, by name, and the keys of who came."""
    came = set(gathering.turnout.values_list("volunteer_id", flat=True))
    held = set(gathering.sign_ups.held().values_list("volunteer_id", flat=True))
    rows = Volunteer.objects.of_keys(sorted(came | held))
    return list(rows.select_related("guardian").by_name()), came


def _lines(
    people: list[Volunteer], came: set[int], notes: dict[int, str]
) -> tuple[ToCall, ...]:
    return tuple(
        ToCall(person, person.pk in came, notes.get(person.pk, "")) for person in people
    )


def _notes(people: Iterable[int], day: date) -> dict[int, str]:
    rows = HealthNote.objects.about(people).readable(day)
    return dict(rows.values_list("volunteer_id", "text"))
