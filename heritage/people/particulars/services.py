"""Ages and dates of birth, and whom to call in an emergency."""

from dataclasses import dataclass, replace
from datetime import date, datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.common.rows import broken_rules_said, lock
from heritage.people.models import AgeBand, User, Volunteer
from heritage.season.models import Demonstration
from heritage.season.services import change_demonstration

# Under this age a parent or guardian agrees, not the child: child-protection
# guidance (facts on data protection); the university guidance that says 13 is laxer.
OWN_WORD = 16


def organises(demonstration: Demonstration, by: User) -> bool:
    """Tell whether somebody organises a demonstration."""
    return Demonstration.objects.managed_by(by).filter(pk=demonstration.pk).exists()


def is_own_or_guardian(volunteer: Volunteer, by: User) -> bool:
    """Tell whether somebody is the volunteer, or the adult who answers for them."""
    mine = by.volunteers.active().of(volunteer.demonstration).first()
    if mine is None or volunteer.left_at:
        return False
    return mine.pk in (volunteer.pk, volunteer.guardian_id)


def require_own_word(volunteer: Volunteer, by: User) -> None:
    """Refuse anybody but the volunteer and the adult who answers for them."""
    if not is_own_or_guardian(volunteer, by):
        raise ValidationError(_("Only %s or their guardian can say this.") % volunteer)


def require_own_word_or_organiser(volunteer: Volunteer, by: User) -> None:
    """Refuse anybody but the volunteer, their guardian and the organisers."""
    if not organises(volunteer.demonstration, by):
        require_own_word(volunteer, by)


def require_organiser(demonstration: Demonstration, by: User) -> None:
    """Refuse anybody but the organisers."""
    if not organises(demonstration, by):
        raise ValidationError(_("Only an organiser can do this."))


def require_old_enough_to_agree(volunteer: Volunteer, by: User, now: datetime) -> None:
    """Refuse a child's own word where their guardian's is needed."""
    day = now.astimezone(volunteer.demonstration.zone).date()
    if by.pk == volunteer.user_id and volunteer.age_on(day) < OWN_WORD:
        raise ValidationError(
            _("%(who)s is under %(years)d: their guardian agrees for them.")
            % {"years": OWN_WORD, "who": volunteer}
        )


OLDEST = 120


def band_by_date(born_on: date, today: date) -> AgeBand:
    """Return the age band somebody is in today, or refuse a date that cannot be."""
    if born_on > today:
        raise ValidationError(
            {"born_on": _("That day is in the future. Enter an earlier one.")}
        )
    years = Volunteer(born_on=born_on).age_on(today)
    if years > OLDEST:
        raise ValidationError(
            {"born_on": _("That is %d years ago. Check the year.") % years}
        )
    return AgeBand.at(years)


@transaction.atomic
def bring_ages_up_to_date(demonstration: Demonstration, day: date) -> list[Volunteer]:
    """Move everybody whom a birthday has taken out of their band into the next.

    Somebody who is 18 by then answers for themselves and has no guardian any more.

    Returns
    -------
    list of Volunteer
        Those who were moved, by name.
    """
    lock(demonstration)
    moved = []
    for person in demonstration.volunteers.with_birth_date().by_name():
        band = AgeBand.at(person.age_on(day))
        if band == person.age_band:
            continue
        person.age_band = band
        if band == AgeBand.ADULT:
            person.guardian = None
        with broken_rules_said(Volunteer):
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
    before = lock(demonstration)
    require_organiser(before, by)
    if before.asks_birth_date and not asks_birth_date:
        bring_ages_up_to_date(before, now.astimezone(before.zone).date())
        before.volunteers.with_birth_date().update(born_on=None)
    return change_demonstration(
        demonstration=demonstration,
        asks_birth_date=asks_birth_date,
        answer_hours=answer_hours,
    )


# The columns of a volunteer that hold them.
PARTICULARS = ["born_on", "emergency_name", "emergency_phone"]


@dataclass(frozen=True, slots=True)
class Particulars:
    """What is said of somebody beside name and contact, and on which day."""

    said_on: date
    emergency_name: str = ""
    emergency_phone: str = ""
    born_on: date | None = None


def age_band_of(age_band: str, particulars: Particulars | None) -> str:
    """Return the band by the date of birth, or as said where no date is given."""
    if particulars is None or particulars.born_on is None:
        return age_band
    return band_by_date(particulars.born_on, particulars.said_on).value


def with_known(
    particulars: Particulars | None, person: Volunteer
) -> Particulars | None:
    """Return what is said with what was known before where nothing is said.

    For somebody whom the organiser entered and who joins later: what they leave
    empty is not taken off their line.
    """
    if particulars is None:
        return None
    known = {name: getattr(person, name) for name in PARTICULARS}
    if particulars.emergency_name or particulars.emergency_phone:
        known = {"born_on": person.born_on}
    missing = {k: v for k, v in known.items() if not getattr(particulars, k)}
    return replace(particulars, **missing)


def set_particulars(person: Volunteer, particulars: Particulars | None) -> list[str]:
    """Write the particulars onto a row that is not kept yet, and name its fields."""
    if particulars is None:
        return []
    name, phone = particulars.emergency_name, particulars.emergency_phone
    if name and not phone:
        raise ValidationError(
            {"emergency_phone": _("Enter the phone number of %s, too.") % name}
        )
    if phone and not any(mark.isdigit() for mark in phone):
        raise ValidationError({"emergency_phone": _("Enter a phone number in digits.")})
    for field in PARTICULARS:
        setattr(person, field, getattr(particulars, field))
    return PARTICULARS
