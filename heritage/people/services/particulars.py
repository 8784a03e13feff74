"""Whom to call in an emergency, and a date of birth where dates are kept."""

from dataclasses import dataclass, replace
from datetime import date

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from heritage.people.models import Volunteer
from heritage.people.services.ages import band_by_date

FIELDS = ["emergency_name", "emergency_phone", "born_on"]


@dataclass(frozen=True, slots=True)
class Particulars:
    """What is said of somebody beside name and contact, and on which day."""

    said_on: date
    emergency_name: str = ""
    emergency_phone: str = ""
    born_on: date | None = None


def band_said(age_band: str, particulars: Particulars | None) -> str:
    """Return the band by the date of birth, or as said where no date is given."""
    if particulars is None or particulars.born_on is None:
        return age_band
    return band_by_date(particulars.born_on, particulars.said_on).value


def beside(particulars: Particulars | None, person: Volunteer) -> Particulars | None:
    """Return what is said with what was known before where nothing is said.

    For somebody whom the organiser entered and who joins later: what they leave
    empty is not taken off their line.
    """
    if particulars is None:
        return None
    held = {name: getattr(person, name) for name in FIELDS}
    if particulars.emergency_name or particulars.emergency_phone:
        held = {"born_on": person.born_on}
    missing = {k: v for k, v in held.items() if not getattr(particulars, k)}
    return replace(particulars, **missing)


def set_particulars(person: Volunteer, particulars: Particulars | None) -> list[str]:
    """Write the particulars onto a row that is not kept yet, and name its fields."""
    if particulars is None:
        return []
    name, phone = particulars.emergency_name, particulars.emergency_phone
    if name and not phone:
        raise ValidationError(
            {"emergency_phone": _("Write the telephone number of %s, too.") % name}
        )
    if phone and not any(mark.isdigit() for mark in phone):
        raise ValidationError(
            {"emergency_phone": _("Write a telephone number in digits.")}
        )
    for field in FIELDS:
        setattr(person, field, getattr(particulars, field))
    return FIELDS
