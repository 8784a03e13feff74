"""How long an incident is kept, by whom it concerns."""

from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _

from heritage.safety.models import Incident

# Three years: the reporting rules' own minimum for records (RIDDOR 2013 reg. 12; the
# figure is also on Northern Ireland's pages). Kept for every incident, reported or not.
YEARS = 3
# A child's until 21: from memory of the limitation rules, to be confirmed; kept at
# least so because it is the longer.
CHILD_UNTIL_AGE = 21


@dataclass(frozen=True, slots=True)
class Keeping:
    """Until when an incident is kept, and why."""

    until: date
    why: str
    held_for: str


def keeping_of(incident: Incident) -> Keeping:
    """Return until when an incident is kept, by class."""
    return Keeping(keep_until(incident), _why(incident), incident.held_for)


def keep_until(incident: Incident) -> date:
    """Return the last day an incident is kept: three years, a child's till 21."""
    day = incident.happened_at.astimezone(incident.demonstration.zone).date()
    least = years_on(day, YEARS)
    if not is_a_childs(incident):
        return least
    born_on = _born_on(incident)
    if born_on:
        return max(least, years_on(born_on, CHILD_UNTIL_AGE))
    young = incident.volunteer.age.least_age if incident.volunteer else 0
    return max(least, years_on(day, CHILD_UNTIL_AGE - young))


def is_a_childs(incident: Incident) -> bool:
    """Tell whether whoever was hurt was under 18, by what is written or known."""
    person = incident.volunteer
    return incident.is_child or (person is not None and person.age.least_age < 18)


def years_on(day: date, years: int) -> date:
    """Return the same day so many years later; 29 February becomes 1 March."""
    try:
        return day.replace(year=day.year + years)
    except ValueError:
        return date(day.year + years, 3, 1)


def _born_on(incident: Incident) -> date | None:
    person = incident.volunteer
    return incident.born_on or (person.born_on if person else None)


def _why(incident: Incident) -> str:
    if not is_a_childs(incident):
        return _("Records of accidents are kept three years or longer.")
    until = _(
        "The record of a child is kept until they are 21. That age is to be confirmed "
        "with whoever insures you; it is kept at least so long."
    )
    if _born_on(incident):
        return until
    return f"{until} {_('No date of birth is known, so it is the latest it could be.')}"
