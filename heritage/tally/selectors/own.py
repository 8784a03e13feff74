"""What a household wrote of itself."""

from collections.abc import Sequence

from heritage.gatherings.models import Gathering
from heritage.people.models import Volunteer
from heritage.tally.models import OwnLog


def household(volunteer: Volunteer) -> list[Volunteer]:
    """Return somebody and the children they answer for, themselves first: a query."""
    people = Volunteer.objects.active().answered_for_by(volunteer).by_name()
    return sorted(people, key=lambda person: person.pk != volunteer.pk)


def own_logs(gathering: Gathering, people: Sequence[Volunteer]) -> list[OwnLog]:
    """Return what they wrote at a gathering, with the answers: one query."""
    rows = gathering.own_logs.all().for_page()
    return list(rows.filter(volunteer__in=people))
