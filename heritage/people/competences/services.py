"""The organiser's list of competences, and who is said and confirmed to have which."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import ProtectedError
from django.utils.translation import gettext as _

from heritage.common.rows import fill_in, lock
from heritage.people.competences.selectors import (
    is_too_young,
    least_age_for,
    starting_competences,
)
from heritage.people.models import Competence, Skill, User, Volunteer
from heritage.people.particulars.services import require_organiser, require_own_word
from heritage.season.models import Demonstration

UNANSWERED: dict[str, Any] = {
    "confirmed_by": None,
    "confirmed_at": None,
    "runs_out_on": None,
    "refused_at": None,
    "refused_because": "",
}


@transaction.atomic
def keep_competence(
    *, competence: Competence, values: Mapping[str, Any], by: User
) -> Competence:
    """Put something that people can do on the list, or change its words.

    Anybody confirmed in it stays confirmed.
    """
    _lock_list(competence.demonstration, by)
    title = " ".join(values["title"].split())
    return fill_in(competence, {**values, "title": title})


@transaction.atomic
def take_starting_competences(
    *, demonstration: Demonstration, titles: Sequence[str], by: User
) -> list[Competence]:
    """Put those of the list to start with on the organiser's own that were chosen."""
    _lock_list(demonstration, by)
    chosen = [row for row in starting_competences(demonstration) if row.title in titles]
    if not chosen:
        raise ValidationError({"titles": _("Tick the skills your field needs.")})
    return [fill_in(row, {}) for row in chosen]


@transaction.atomic
def remove_competence(*, competence: Competence, by: User) -> None:
    """Take a competence off the list, if nobody has it and no station asks for it."""
    _lock_list(competence.demonstration, by)
    try:
        competence.delete()
    except ProtectedError as error:
        raise ValidationError(
            _(
                "“%s” is in use: somebody has it, or a station needs it. Rename it, "
                "or remove it there first."
            )
            % competence
        ) from error


@transaction.atomic
def say_able(
    *, volunteer: Volunteer, competence: Competence, by: User, now: datetime
) -> Skill:
    """Write down what somebody says they, or their child, can do; it opens nothing.

    What was refused, or has run out, may be said again and is weighed again.
    """
    _lock_person(volunteer, competence)
    require_own_word(volunteer, by)
    today = now.astimezone(volunteer.demonstration.zone).date()
    _require_age(volunteer, competence, today)
    row = _row(volunteer, competence)
    ended = row.runs_out_on is not None and row.runs_out_on < today
    if row.confirmed_at and not ended:
        raise ValidationError(_("An organiser has already confirmed this."))
    return fill_in(row, UNANSWERED | {"said_at": now})


@transaction.atomic
def take_back_able(*, volunteer: Volunteer, competence: Competence, by: User) -> None:
    """Strike what somebody said they, or their child, can do, confirmed or not."""
    _lock_person(volunteer, competence)
    require_own_word(volunteer, by)
    volunteer.skills.filter(competence=competence).delete()


@transaction.atomic
def confirm_able(
    *,
    volunteer: Volunteer,
    competence: Competence,
    by: User,
    now: datetime,
    runs_out_on: date | None = None,
) -> Skill:
    """Confirm that somebody can do something, said or not, perhaps until a day."""
    _lock_person(volunteer, competence)
    require_organiser(volunteer.demonstration, by)
    if volunteer.left_at:
        raise ValidationError(
            _("%s has left the list. Put them back first.") % volunteer
        )
    today = now.astimezone(volunteer.demonstration.zone).date()
    if runs_out_on and runs_out_on < today:
        raise ValidationError(
            {
                "runs_out_on": _(
                    "That day has passed. Enter a later one, or leave it "
                    "empty if it doesn't run out."
                )
            }
        )
    _require_age(volunteer, competence, today)
    row = _row(volunteer, competence)
    if row._state.adding:
        row.said_at = now
    answer = {"confirmed_by": by, "confirmed_at": now, "runs_out_on": runs_out_on}
    return fill_in(row, UNANSWERED | answer)


def _require_age(volunteer: Volunteer, competence: Competence, day: date) -> None:
    if is_too_young(volunteer, competence, day):
        words = _("“%(what)s” is for age %(age)d and over.")
        said = {"what": competence, "age": least_age_for(competence)}
        raise ValidationError({"competence": words % said})


@transaction.atomic
def refuse_able(
    *,
    volunteer: Volunteer,
    competence: Competence,
    why: str,
    by: User,
    now: datetime,
) -> Skill:
    """Refuse what somebody says they can do, or take a confirmation back."""
    _lock_person(volunteer, competence)
    require_organiser(volunteer.demonstration, by)
    row = _row(volunteer, competence)
    if row._state.adding:
        raise ValidationError(_("%s hasn't said they can do this.") % volunteer)
    if not why.strip():
        raise ValidationError({"why": _("Say why. They'll see this.")})
    answer = {"refused_at": now, "refused_because": why.strip()}
    return fill_in(row, UNANSWERED | answer)


def _row(volunteer: Volunteer, competence: Competence) -> Skill:
    known = volunteer.skills.filter(competence=competence).first()
    return known or Skill(volunteer=volunteer, competence=competence)


def _lock_list(demonstration: Demonstration, by: User) -> None:
    lock(demonstration)
    require_organiser(demonstration, by)


def _lock_person(volunteer: Volunteer, competence: Competence) -> None:
    lock(volunteer)
    if competence.demonstration_id != volunteer.demonstration_id:
        raise ValidationError(
            _("That's on another demonstration's list. Choose one from this list.")
        )
