"""Who bears a name, however it is written."""

from heritage.gatherings.models import Gathering
from heritage.people.models import Volunteer
from heritage.season.models import Demonstration


def folded(name: str) -> str:
    """Return a name as names are compared: capitals and spaces tell nobody apart."""
    return " ".join(name.split()).casefold()


def by_folded_name(demonstration: Demonstration) -> dict[str, list[Volunteer]]:
    """Return a demonstration's people by their names as those are compared."""
    found: dict[str, list[Volunteer]] = {}
    for person in Volunteer.objects.of(demonstration).active().by_name():
        found.setdefault(folded(person.name), []).append(person)
    return found


def named(gathering: Gathering, name: str) -> list[Volunteer]:
    """Return those of the demonstration who bear a name."""
    return by_folded_name(gathering.demonstration).get(folded(name), [])
