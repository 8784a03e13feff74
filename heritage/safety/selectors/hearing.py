"""Who has heard which briefing, in the version that holds now."""

from collections.abc import Iterable

from heritage.people.models import Volunteer
from heritage.safety.models import Acknowledgement, Briefing


def briefings_heard(volunteer: Volunteer) -> set[int]:
    """Return the keys of the briefings whose current version somebody has heard."""
    held = Acknowledgement.objects.holding().filter(volunteer=volunteer)
    return set(held.values_list("version__briefing_id", flat=True))


def heard_pairs(
    volunteers: Iterable[Volunteer], briefings: Iterable[Briefing]
) -> set[tuple[int, int]]:
    """Return (volunteer key, briefing key) wherever the current version was heard."""
    held = Acknowledgement.objects.holding().filter(
        volunteer__in=[person.pk for person in volunteers],
        version__briefing__in=[briefing.pk for briefing in briefings],
    )
    return set(held.values_list("volunteer_id", "version__briefing_id"))


def missing_briefings(
    volunteers: Iterable[Volunteer], briefings: Iterable[Briefing]
) -> dict[int, tuple[Briefing, ...]]:
    """Say for each volunteer, by key, which of the briefings they have yet to hear.

    A briefing that was never published cannot have been heard, so it is missing.
    """
    people, asked = list(volunteers), list(briefings)
    heard = heard_pairs(people, asked)
    return {
        person.pk: tuple(one for one in asked if (person.pk, one.pk) not in heard)
        for person in people
    }
