"""What a station asks of whoever takes a place there."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from heritage.calc import young_people
from heritage.calc.young_people import AgeRule
from heritage.gatherings.models import Station
from heritage.people.models import AgeBand, Volunteer
from heritage.season.models import Demonstration


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why somebody may not take a place, and whether a briefing would mend it."""

    reason: str
    needs_briefing: bool = False


def age_asked(station: Station, demonstration: Demonstration) -> tuple[int, AgeRule]:
    """Return the least age of a station: the organiser's or the rules', the greater."""
    rule = young_people.least_age(demonstration.jurisdiction, station.kind)
    return max(AgeBand(station.least_age).least_age, rule.least_age), rule


def age_words(years: int, rule: AgeRule) -> str:
    """Say how old somebody must be, once: by the rules or, if stricter, by us."""
    if years <= rule.least_age:
        return rule.reason
    if years >= young_people.ADULT:
        return _("For adults.")
    words = _("From %d years.") % years
    if rule.least_age == 0:
        words += " " + _("A child works beside the adult who answers for them.")
    return words


def refusal(
    station: Station,
    demonstration: Demonstration,
    volunteer: Volunteer,
    heard: set[int],
) -> Refusal | None:
    """Say why somebody may not take a place at a station, if they may not.

    ``heard`` holds the keys of the briefings they have heard.
    """
    years, rule = age_asked(station, demonstration)
    if volunteer.age.least_age < years:
        own = _("%(station)s is for those of %(years)d and over.") % {
            "station": station.title,
            "years": years,
        }
        return Refusal(rule.reason if rule.least_age == years else own)
    briefing = station.briefing
    if briefing and briefing.pk not in heard:
        words = _(
            "%(who)s has not heard the briefing “%(briefing)s”. Read it and say so, "
            "then ask for the place."
        )
        return Refusal(words % {"who": volunteer, "briefing": briefing}, True)
    return None
