"""Every change to who belongs to a demonstration, and what they are to it."""

from datetime import datetime

from allauth.account.models import EmailAddress
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from heritage.common.models import private_key
from heritage.common.rows import lock
from heritage.people.agreements.services import note_shown
from heritage.people.models import (
    AgeBand,
    HealthNote,
    User,
    Volunteer,
    gathering_alone,
)
from heritage.people.particulars.services import (
    Particulars,
    age_band_of,
    set_particulars,
    with_known,
)
from heritage.season.models import Demonstration

MINE = ["name", "email", "phone"]
ROLE = ["is_organiser", "organiser_since"]


@transaction.atomic
def join(
    *,
    demonstration: Demonstration,
    user: User,
    name: str,
    now: datetime,
    phone: str = "",
    age_band: str = AgeBand.ADULT,
    particulars: Particulars | None = None,
    is_invited: bool = False,
    notice: int | None = None,
) -> Volunteer:
    """Make an account a volunteer; joining twice is joining once.

    Somebody the organiser entered under the account's own verified address is the
    same person: the row is given to the account, with everything that hangs on it.
    ``notice`` is the version of the notice that they were shown.
    """
    lock(demonstration)
    mine = user.volunteers.of(demonstration).first()
    if mine and mine.left_at is None:
        return mine
    if not (demonstration.is_public or is_invited or mine):
        raise ValidationError(
            _("You need an invitation to join here. Ask the organiser.")
        )
    age_band = age_band_of(age_band, particulars)
    person = mine or _entered_before(demonstration, user, name, age_band)
    if person is None:
        if age_band != AgeBand.ADULT:
            asked = "born_on" if particulars and particulars.born_on else "age_band"
            raise ValidationError({asked: _under_age()})
        person = Volunteer(
            demonstration=demonstration, joined_at=now, age_band=age_band
        )
    person.user, person.name, person.left_at = user, name, None
    person.phone = phone or person.phone
    person.email = person.email or user.email
    fields = set_particulars(person, with_known(particulars, person))
    person = _keep(person, ["user", "left_at", *MINE, *fields])
    if notice is not None:
        note_shown(person, notice, user, now)
    return person


@transaction.atomic
def add_volunteer(
    *,
    demonstration: Demonstration,
    name: str,
    now: datetime,
    email: str = "",
    phone: str = "",
    age_band: str = AgeBand.ADULT,
    guardian: Volunteer | None = None,
    particulars: Particulars | None = None,
) -> Volunteer:
    """Enter somebody on their behalf: a name is enough."""
    lock(demonstration)
    reached = demonstration.volunteers.active().reached_at([email])
    if email and any(other.name.casefold() == name.casefold() for other in reached):
        raise ValidationError({"name": _("%s is already on the list.") % name})
    person = Volunteer(
        demonstration=demonstration, name=name, email=email, phone=phone, joined_at=now
    )
    set_particulars(person, particulars)
    _set_age(person, age_band_of(age_band, particulars), guardian)
    return _keep(person)


@transaction.atomic
def edit_volunteer(
    *,
    volunteer: Volunteer,
    name: str,
    now: datetime,
    email: str = "",
    phone: str = "",
    age_band: str = AgeBand.ADULT,
    guardian: Volunteer | None = None,
    particulars: Particulars | None = None,
) -> Volunteer:
    """Correct what is held about somebody."""
    lock(volunteer.demonstration)
    before = (volunteer.age_band, volunteer.guardian_id)
    volunteer.name, volunteer.email, volunteer.phone = name, email, phone
    fields = set_particulars(volunteer, particulars)
    _set_age(volunteer, age_band_of(age_band, particulars), guardian)
    if volunteer.age_band != AgeBand.ADULT and volunteer.children.active().exists():
        raise ValidationError(
            {"age_band": _("They're a child's guardian, so they must be 18 or over.")}
        )
    _keep(volunteer, [*MINE, "age_band", "guardian", *fields])
    if before != (volunteer.age_band, volunteer.guardian_id):
        _require_nowhere_alone(volunteer, now)
    return volunteer


@transaction.atomic
def appoint_founder(
    *, demonstration: Demonstration, user: User, now: datetime, name: str = ""
) -> Volunteer:
    """Make the person who sets a demonstration up its first organiser."""
    person = user.volunteers.of(demonstration).first() or Volunteer(
        demonstration=demonstration,
        user=user,
        name=name or user.name or user.email,
        email=user.email,
        joined_at=now,
    )
    person.hold_role(now)
    person.left_at = None
    return _keep(person, [*ROLE, "left_at"])


@transaction.atomic
def make_organiser(*, volunteer: Volunteer, now: datetime) -> Volunteer:
    """Give somebody the organiser's role; it holds from their next page."""
    lock(volunteer.demonstration)
    volunteer.refresh_from_db(fields=[*ROLE, "user", "age_band", "left_at"])
    if volunteer.user is None:
        raise ValidationError(
            _("%s has no account yet. Ask them to sign in and join first.") % volunteer
        )
    if volunteer.left_at or volunteer.age_band != AgeBand.ADULT:
        raise ValidationError(_("Choose an adult who is still on the list."))
    volunteer.hold_role(now)
    return _keep(volunteer, ROLE)


@transaction.atomic
def stop_organiser(*, volunteer: Volunteer) -> Volunteer:
    """Take the organiser's role from somebody, at once, unless they are the last."""
    lock(volunteer.demonstration)
    _require_another_organiser(volunteer)
    volunteer.hold_role(None)
    return _keep(volunteer, ROLE)


@transaction.atomic
def leave(*, volunteer: Volunteer, now: datetime) -> Volunteer:
    """Take somebody off the list; what they did stays on record."""
    lock(volunteer.demonstration)
    volunteer.refresh_from_db(fields=ROLE)
    if volunteer.is_organiser:
        _require_another_organiser(volunteer)
    _require_nothing_hangs_on(volunteer, now)
    volunteer.hold_role(None)
    volunteer.left_at = now
    HealthNote.objects.about([volunteer.pk]).delete()
    return _keep(volunteer, ["left_at", *ROLE])


@transaction.atomic
def come_back(*, volunteer: Volunteer) -> Volunteer:
    """Put somebody who left back on the list."""
    lock(volunteer.demonstration)
    if volunteer.erased_at or volunteer.merged_into_id:
        raise ValidationError(
            _("This person was deleted or joined with another, and can't come back.")
        )
    _set_age(volunteer, volunteer.age_band, volunteer.guardian)
    volunteer.left_at = None
    return _keep(volunteer, ["left_at", "guardian"])


@transaction.atomic
def renew_calendar_key(*, volunteer: Volunteer) -> Volunteer:
    """Give a volunteer's private calendar a new address; the old one stops."""
    volunteer.calendar_key = private_key()
    return _keep(volunteer, ["calendar_key"])


def _keep(person: Volunteer, fields: list[str] | None = None) -> Volunteer:
    person.full_clean()
    person.save(update_fields=fields if person.pk else None)
    return person


def _entered_before(
    demonstration: Demonstration, user: User, name: str, age_band: str
) -> Volunteer | None:
    """Find the row an organiser made for this account, or None if that is unclear."""
    verified = EmailAddress.objects.filter(user=user, verified=True)
    entered = (
        Volunteer.objects.of(demonstration)
        .without_account()
        .reached_at(list(verified.values_list("email", flat=True)))
        .by_name()
    )
    # A family shares an address: a parent must not be taken for their child.
    same_age = [row for row in entered if row.age_band == age_band]
    if len(same_age) == 1:
        return same_age[0]
    namesakes = [row for row in same_age if row.name.casefold() == name.casefold()]
    return namesakes[0] if namesakes else None


def _set_age(person: Volunteer, age_band: str, guardian: Volunteer | None) -> None:
    """Set the age band, with the guardian that somebody under 18 needs."""
    if age_band == AgeBand.ADULT:
        person.age_band, person.guardian = age_band, None
        return
    if guardian is None:
        raise ValidationError({"guardian": _("Choose their guardian.")})
    suits = Volunteer.objects.of(person.demonstration).active().adults()
    if not suits.filter(pk=guardian.pk).exists():
        raise ValidationError({"guardian": _("Choose an adult on the list.")})
    person.age_band, person.guardian = age_band, guardian


def _require_nowhere_alone(child: Volunteer, now: datetime) -> None:
    """Refuse to leave a child under 13 a place where their adult has none."""
    if gathering := gathering_alone(child, now):
        words = _(
            "%(child)s, under 13, has a place at %(gathering)s and %(adult)s has none "
            "there. First give the child's place up, or give %(adult)s one too."
        )
        who = {"child": child, "gathering": gathering, "adult": child.guardian}
        raise ValidationError({"guardian": words % who})


def _require_another_organiser(volunteer: Volunteer) -> None:
    others = Volunteer.objects.of(volunteer.demonstration).active().organisers()
    if not others.able_to_sign_in().exclude(pk=volunteer.pk).exists():
        raise ValidationError(
            _("%s is the only organiser. Make somebody else one first.") % volunteer
        )


def _require_nothing_hangs_on(volunteer: Volunteer, now: datetime) -> None:
    children = [child.name for child in volunteer.children.active().by_name()]
    if children:
        raise ValidationError(
            ngettext(
                "%(who)s is the guardian of %(children)s. Choose another first.",
                "%(who)s is the guardian of %(children)s. Choose others first.",
                len(children),
            )
            % {"who": volunteer, "children": ", ".join(children)}
        )
    same = Volunteer.objects.filter(pk=volunteer.pk)
    if same.expected_after(now).exists():
        raise ValidationError(
            _("%s has a place at a coming gathering. Give it up first.") % volunteer
        )
    if same.leading_after(now).exists():
        raise ValidationError(
            _("%s leads a coming gathering. Choose another lead first.") % volunteer
        )


def _under_age() -> str:
    return _(
        "Somebody under 18 is entered by the adult who answers for them: they join "
        "first, then add you on their own page."
    )
