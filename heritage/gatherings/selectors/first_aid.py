"""Who looks after first aid at a gathering, and what is not right about it."""

from datetime import date

from django.utils.translation import gettext as _

from heritage.gatherings.models import Gathering
from heritage.gatherings.selectors.asks import day_of
from heritage.people.models import Volunteer
from heritage.people.selectors import first_aiders
from heritage.season.models import Demonstration


def first_aid_warnings(gathering: Gathering) -> list[str]:
    """Say what is not right about a gathering's first-aider: two queries at most."""
    chosen = gathering.first_aider
    if chosen is None:
        return [_("No first-aider is chosen. Choose one before people come.")]
    said = []
    if chosen not in first_aiders(gathering.demonstration, day_of(gathering)):
        said.append(
            _("%s's first aid is not confirmed, or runs out before the day.") % chosen
        )
    if chosen.pk == gathering.lead_id:
        said.append(
            _("%s is lead and first-aider. A first-aider has no other duty.") % chosen
        )
    if gathering.sign_ups.held().by(chosen).exists():
        said.append(
            _("%s has a place at a station too. A first-aider has no other duty.")
            % chosen
        )
    return said


def possible_first_aiders(
    demonstration: Demonstration, day: date, chosen: Volunteer | None
) -> list[Volunteer]:
    """Return whom a form offers: those good on a day, and whoever is chosen."""
    able = first_aiders(demonstration, day)
    return able if chosen is None or chosen in able else [*able, chosen]
