"""The people list as a table to take away: everything held on it."""

from collections.abc import Iterator

from django.db.models import Prefetch
from django.utils import timezone
from django.utils.translation import gettext as _

from heritage.people.models import Skill, Volunteer
from heritage.season.models import Demonstration


def roll_heads() -> list[str]:
    """Name the columns; taking the file in again knows them by these words."""
    return [
        _("Name"),
        _("E-mail address"),
        _("Telephone"),
        _("Age"),
        _("Date of birth"),
        _("Guardian"),
        _("Guardian's e-mail address"),
        _("Emergency contact"),
        _("Emergency telephone"),
        _("Can do"),
        _("Organiser"),
        _("Has an account"),
        _("On the list since"),
    ]


def roll(demonstration: Demonstration) -> Iterator[list[str]]:
    """Give everybody on the list, one line each; two queries. No health notes."""
    skills = Prefetch("skills", Skill.objects.for_page())
    people = Volunteer.objects.of(demonstration).active().by_name()
    for person in people.select_related("guardian").prefetch_related(skills):
        yield _line(person, demonstration)


def _line(person: Volunteer, demonstration: Demonstration) -> list[str]:
    guardian = person.guardian
    joined = timezone.localdate(person.joined_at, demonstration.zone)
    able = [skill for skill in person.skills.all() if skill.confirmed_at]
    return [
        person.name,
        person.email,
        person.phone,
        str(person.age.label),
        f"{person.born_on:%Y-%m-%d}" if person.born_on else "",
        guardian.name if guardian else "",
        guardian.email if guardian else "",
        person.emergency_name,
        person.emergency_phone,
        "; ".join(skill.competence.title for skill in able),
        _("yes") if person.is_organiser else _("no"),
        _("yes") if person.user_id else _("no"),
        f"{joined:%Y-%m-%d}",
    ]
