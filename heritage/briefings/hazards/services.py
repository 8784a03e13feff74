"""Write down what can hurt somebody here, and what is done about it."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from heritage.briefings.hazards.selectors import FIELDS, WORK_WORDS
from heritage.briefings.models import Control, Hazard, HazardChange, Mark
from heritage.briefings.selectors import lacks_named_person
from heritage.calc.risk import (
    Likelihood,
    Rating,
    ResidualProblem,
    Severity,
    residual_problems,
)
from heritage.people.models import User
from heritage.season.models import Demonstration, Stage

PROBLEMS: dict[ResidualProblem, str | Promise] = {
    ResidualProblem.SAY_WHY_LESS_BAD: gettext_lazy(
        "Say why it would be less bad with the controls in place."
    ),
    ResidualProblem.WORSE_WITH_CONTROLS: gettext_lazy(
        "With its controls a hazard cannot be worse than without."
    ),
}


def as_it_stands(hazard: Hazard) -> dict[str, Any]:
    """Return what an assessment says now, controls included, in plain values."""
    said = {name: _plain(getattr(hazard, name)) for name in FIELDS}
    controls = hazard.controls.all() if hazard.pk else []
    said["controls"] = [f"{one.get_kind_display()}: {one.text}" for one in controls]
    return said


def note_change(
    hazard: Hazard,
    before: dict[str, Any],
    after: dict[str, Any],
    by: User | None,
    now: datetime,
) -> None:
    """Add a line to the history, if anything is different.

    An assessment that begins has nothing before, one that is taken off nothing after.
    """
    names = [*dict.fromkeys([*before, *after])]
    what = {
        name: [before.get(name), after.get(name)]
        for name in names
        if before.get(name) != after.get(name)
    }
    if what:
        HazardChange.objects.create(
            demonstration_id=hazard.demonstration_id,
            hazard_number=hazard.pk,
            title=hazard.title,
            what=what,
            at=now,
            by=by,
        )


def _plain(value: Any) -> Any:
    return value.isoformat() if isinstance(value, date) else value


# Looked at again at the latest before the next season.
REVIEW_AFTER = timedelta(days=365)


@dataclass(frozen=True, slots=True)
class Assessment:
    """What an organiser says about a hazard; controls are (kind, instruction).

    Without a day to look at it again, that is a year on.
    """

    title: str
    harm: str
    severity: int
    likelihood: int
    severity_after: int
    likelihood_after: int
    where: str = ""
    severity_reason: str = ""
    controller: str = ""
    caution: str = ""
    mark: str = Mark.WARNING
    stages: Sequence[str] = ()
    works: Sequence[str] = ()
    review_on: date | None = None
    controls: Sequence[tuple[str, str]] = ()


@transaction.atomic
def add_hazard(
    *, demonstration: Demonstration, assessment: Assessment, by: User, now: datetime
) -> Hazard:
    """Write down a hazard with its controls."""
    _require_named_person(assessment)
    return keep_hazard(Hazard(demonstration=demonstration), assessment, by, now)


@transaction.atomic
def edit_hazard(
    *, hazard: Hazard, assessment: Assessment, by: User, now: datetime
) -> Hazard:
    """Correct a hazard; published briefings keep their words until republished."""
    _require_named_person(assessment)
    return keep_hazard(_held(hazard), assessment, by, now)


@transaction.atomic
def look_again(
    *, hazard: Hazard, note: str, by: User, now: datetime, review_on: date | None = None
) -> Hazard:
    """Say that a hazard was looked at again and that nothing is to change."""
    hazard = _held(hazard)
    day = local_day(hazard.demonstration, now)
    before = hazard.review_on.isoformat() if hazard.review_on else None
    hazard.review_on = review_on or day + REVIEW_AFTER
    _require_to_come(hazard.review_on, day)
    hazard.assessed_at, hazard.assessed_by = now, by
    hazard.save(update_fields=["review_on", "assessed_at", "assessed_by"])
    after = {"looked_at": note.strip() or _("nothing to change")}
    after["review_on"] = hazard.review_on.isoformat()
    note_change(hazard, {"review_on": before}, after, by, now)
    return hazard


@transaction.atomic
def delete_hazard(*, hazard: Hazard, by: User, now: datetime) -> None:
    """Take away a hazard that no briefing names; its history stays."""
    hazard = _held(hazard)
    named_in = [briefing.title for briefing in hazard.briefings.by_title()]
    if named_in:
        raise ValidationError(
            _("“%(hazard)s” is named in %(briefings)s. Take it out there first.")
            % {"hazard": hazard, "briefings": ", ".join(named_in)}
        )
    note_change(hazard, as_it_stands(hazard), {}, by, now)
    hazard.delete()


def keep_hazard(
    hazard: Hazard, assessment: Assessment, by: User | None, now: datetime
) -> Hazard:
    """Save a hazard with its controls and day of review, and note what changed."""
    before = as_it_stands(hazard) if hazard.pk else {}
    said = asdict(assessment)
    controls = said.pop("controls")
    day = local_day(hazard.demonstration, now)
    said["review_on"] = said["review_on"] or day + REVIEW_AFTER
    _require_sense(assessment)
    _require_to_come(said["review_on"], day)
    for field, value in said.items():
        setattr(hazard, field, list(value) if isinstance(value, tuple) else value)
    hazard.assessed_at, hazard.assessed_by = now, by
    hazard.full_clean()
    hazard.save()
    _put_controls(hazard, controls)
    note_change(hazard, before, as_it_stands(hazard), by, now)
    return hazard


def local_day(demonstration: Demonstration, now: datetime) -> date:
    """Return what day it is where the demonstration is."""
    return now.astimezone(demonstration.zone).date()


def _held(hazard: Hazard) -> Hazard:
    """Fetch the row afresh and hold it until the change is written."""
    rows = Hazard.objects.select_for_update(of=("self",))
    return rows.select_related("demonstration").get(pk=hazard.pk)


def _put_controls(hazard: Hazard, controls: Sequence[tuple[str, str]]) -> None:
    hazard.controls.all().delete()
    for kind, text in controls:
        control = Control(hazard=hazard, kind=kind, text=text)
        control.full_clean()
        control.save()


def _require_named_person(assessment: Assessment) -> None:
    if lacks_named_person(assessment.severity, assessment.controller):
        raise ValidationError(
            {
                "controller": _(
                    "This hazard can kill: name the person who controls it, "
                    "however unlikely it is."
                )
            }
        )


def _require_sense(said: Assessment) -> None:
    """Refuse judgements that do not hold together, stages and stations unknown."""
    errors: dict[str, Any] = {}
    if set(said.stages) - set(Stage.values):
        errors["stages"] = _("Choose among the stages from seed to fibre.")
    if set(said.works) - set(WORK_WORDS):
        errors["works"] = _("Choose among the stations.")
    problems = _judgement_problems(said)
    if problems:
        worse = said.likelihood_after > said.likelihood
        errors["likelihood_after" if worse else "severity_after"] = list(problems)
    if errors:
        raise ValidationError(errors)


def _judgement_problems(said: Assessment) -> tuple[str, ...]:
    try:
        before = Rating(Severity(said.severity), Likelihood(said.likelihood))
        after = Rating(Severity(said.severity_after), Likelihood(said.likelihood_after))
    except ValueError:
        return (_("Severity and likelihood go from 1 to 5."),)
    found = residual_problems(before, after, severity_reason=said.severity_reason)
    return tuple(str(PROBLEMS[problem]) for problem in found)


def _require_to_come(review_on: date, day: date) -> None:
    if review_on <= day:
        raise ValidationError(
            {"review_on": _("Choose a day to come on which to look at it again.")}
        )
