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

    @property
    def organisers(self) -> int:
        """How many organise it."""
        return sum(person.is_organiser for person in self.people)


@dataclass(frozen=True, slots=True)
class MyPage:
    """One volunteer's own page."""

    volunteer: Volunteer
    children: tuple[Volunteer, ...]


def people_page(demonstration: Demonstration, now: datetime) -> PeoplePage:
    """List everybody with their guardian and their places to come."""
    everybody = Volunteer.objects.of(demonstration).select_related("guardian")
    rows = tuple(everybody.with_places_to_come(now).by_name())
    return PeoplePage(
        people=tuple(person for person in rows if person.left_at is None),
        gone=tuple(person for person in rows if _may_come_back(person)),
    )


def _may_come_back(person: Volunteer) -> bool:
    if person.left_at is None or person.merged_into_id:
        return False
    return person.erased_at is None


def my_page(volunteer: Volunteer) -> MyPage:
    """Show somebody their details and the children they answer for."""
    return MyPage(volunteer, tuple(volunteer.children.active().by_name()))
