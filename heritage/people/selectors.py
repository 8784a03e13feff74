"""What the pages about people show."""

from dataclasses import dataclass
from datetime import datetime

from heritage.people.models import Volunteer
from heritage.season.models import Demonstration


@dataclass(frozen=True, slots=True)
class PeoplePage:
    """Everybody of a demonstration, those who left apart."""

    people: tuple[Volunteer, ...]
    gone: tuple[Volunteer, ...]
    # How many there are, whatever was searched for.
    count: int


@dataclass(frozen=True, slots=True)
class MyPage:
    """One volunteer's own page."""

    volunteer: Volunteer
    children: tuple[Volunteer, ...]


def people_page(
    demonstration: Demonstration, now: datetime, wanted: str = ""
) -> PeoplePage:
    """List everybody wanted with their guardian and their places to come: one query.

    ``wanted`` is part of a name, a telephone number or an e-mail address, in whatever
    case; a database would not know that É is é.
    """
    everybody = Volunteer.objects.of(demonstration).select_related("guardian")
    rows = tuple(everybody.with_places_to_come(now).by_name())
    here = [person for person in rows if person.left_at is None]
    return PeoplePage(
        people=tuple(person for person in here if is_wanted(person, wanted)),
        gone=tuple(person for person in rows if _may_come_back(person)),
        count=len(here),
    )


def is_wanted(person: Volunteer, wanted: str) -> bool:
    """Tell whether a part of a name, a number or an address is somebody's."""
    written = f"{person.name}\n{person.email}\n{person.phone}".casefold()
    return wanted.strip().casefold() in written


def _may_come_back(person: Volunteer) -> bool:
    if person.left_at is None or person.merged_into_id:
        return False
    return person.erased_at is None


def my_page(volunteer: Volunteer) -> MyPage:
    """Show somebody their details and the children they answer for."""
    return MyPage(volunteer, tuple(volunteer.children.active().by_name()))
