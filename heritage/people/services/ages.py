"""How old somebody is: by a date of birth or a band, as the organiser keeps it."""

from datetime import date, datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.people.models import AgeBand, User, Volunteer
from heritage.people.services.answering import require_organiser
from heritage.season.models import Demonstration
from heritage.season.services import change_demonstration

OLDEST = 120


def band_by_date(born_on: date, today: date) -> AgeBand:
    """Return the age band somebody is in today, or refuse a date that cannot be."""
    if born_on > today:
        raise ValidationError({"born_on": _("This day is still to come.")})
    years = Volunteer(born_on=born_on).age_on(today)
    if years > OLDEST:
        raise ValidationError(
            {"born_on": _("That is %d years ago. Check the year.") % years}
        )
    return AgeBand.at(years)


@transaction.atomic
def bring_ages_up_to_date(demonstration: Demonstration, day: date) -> list[Volunteer]:
    """Move everybody whom a birthday has taken out of their band into the next.

    Whoever is 18 by then answers for themselves: they have no guardian any more.

    Returns
    -------
    list of Volunteer
        Those who were moved, by name.
    """
    Demonstration.objects.select_for_update(no_key=True).get(pk=demonstration.pk)
    moved = []
    for person in demonstration.volunteers.with_birth_date().by_name():
        band = AgeBand.at(person.age_on(day))
        if band == person.age_band:
            continue
        person.age_band = band
        if band == AgeBand.ADULT:
            person.guardian = None
        person.full_clean(exclude=["demonstration", "user"])
        person.save(update_fields=["age_band", "guardian"])
        moved.append(person)
    return moved


def bring_all_ages_up_to_date(*, now: datetime) -> int:
    """Bring the ages up to date wherever dates are kept; return how many moved."""
    return sum(
        len(bring_ages_up_to_date(place, now.astimezone(place.zone).date()))
        for place in Demonstration.objects.keeping_dates()
    )


@transaction.atomic
def change_keeping(
    *,
    demonstration: Demonstration,
    asks_birth_date: bool,
    answer_hours: int,
    by: User,
    now: datetime,
) -> Demonstration:
    """Change how people are kept; dates no longer asked for are deleted at once."""
    held = Demonstration.objects.select_for_update(no_key=True).get(pk=demonstration.pk)
    require_organiser(held, by)
    if held.asks_birth_date and not asks_birth_date:
        bring_ages_up_to_date(held, now.astimezone(held.zone).date())
        held.volunteers.with_birth_date().update(born_on=None)
    return change_demonstration(
        demonstration=demonstration,
        asks_birth_date=asks_birth_date,
        answer_hours=answer_hours,
    )
