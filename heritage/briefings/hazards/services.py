"""Write down what can hurt somebody here, and what is done about it."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime, timedelta
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from heritage.briefings.hazards.selectors import FIELDS, WORK_WORDS
from heritage.briefings.models import Control, Hazard, HazardChange
from heritage.briefings.selectors import lacks_named_person
from heritage.calc.risk import (
    Likelihood,
    Rating,
    ResidualProblem,
    Severity,
    residual_problems,
)
from heritage.common.rows import add_together, fill_in
from heritage.people.models import User
from heritage.season.models import Demonstration, Stage

# Looked at again at the latest before the next season.
REVIEW_AFTER = timedelta(days=365)
PROBLEMS: dict[ResidualProblem, str | Promise] = {
    ResidualProblem.SAY_WHY_LESS_BAD: gettext_lazy(
        "Say why it would be less bad with the controls in place."
    ),
    ResidualProblem.WORSE_WITH_CONTROLS: gettext_lazy(
        "Controls can't make a hazard worse. Check the grades."
    ),
}
# A control's kind and its instruction.
Controls = Sequence[tuple[str, str]]


@transaction.atomic
def keep_hazard(
    *,
    hazard: Hazard,
    values: Mapping[str, Any],
    controls: Controls,
    by: User,
    now: datetime,
) -> Hazard:
    """Write down a hazard with its controls, or correct it.

    Published briefings keep their words until they are published again. Without a day
    to look at it again, that is a year on.

    Raises
    ------
    ValidationError
        By field, if it can kill and names nobody, or a value cannot be.
    """
    _require_named_person(values["severity"], values.get("controller", ""))
    return write_hazard(
        _locked(hazard) if hazard.pk else hazard, values, controls, by, now
    )


@transaction.atomic
def look_again(
    *, hazard: Hazard, note: str, by: User, now: datetime, review_on: date | None = None
) -> Hazard:
    """Say that a hazard was looked at again and that nothing is to change."""
    hazard = _locked(hazard)
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
    hazard = _locked(hazard)
    named_in = [briefing.title for briefing in hazard.briefings.by_title()]
    if named_in:
        raise ValidationError(
            _("“%(hazard)s” is named in %(briefings)s. Remove it there first.")
            % {"hazard": hazard, "briefings": ", ".join(named_in)}
        )
    note_change(hazard, as_it_stands(hazard), {}, by, now)
    hazard.delete()


def write_hazard(
    hazard: Hazard,
    values: Mapping[str, Any],
    controls: Controls,
    by: User | None,
    now: datetime,
) -> Hazard:
    """Save a hazard with its controls and day of review, and note what changed."""
    before = as_it_stands(hazard) if hazard.pk else {}
    day = local_day(hazard.demonstration, now)
    for name, value in values.items():
        setattr(hazard, name, value)
    hazard.review_on = values.get("review_on") or day + REVIEW_AFTER
    _require_sense(hazard)
    _require_to_come(hazard.review_on, day)
    fill_in(hazard, {"assessed_at": now, "assessed_by": by})
    hazard.controls.all().delete()
    rows = [Control(hazard=hazard, kind=kind, text=text) for kind, text in controls]
    add_together(rows, parent="hazard")
    note_change(hazard, before, as_it_stands(hazard), by, now)
    return hazard


def local_day(demonstration: Demonstration, now: datetime) -> date:
    """Return what day it is where the demonstration is."""
    return now.astimezone(demonstration.zone).date()


def _locked(hazard: Hazard) -> Hazard:
    """Lock a hazard and return it as it is now."""
    rows = Hazard.objects.select_for_update(of=("self",))
    return rows.select_related("demonstration").get(pk=hazard.pk)


def _require_named_person(severity: int, controller: str) -> None:
    if lacks_named_person(severity, controller):
        raise ValidationError(
            {
                "controller": _(
                    "This hazard can kill. Name who looks after it, however unlikely "
                    "it is."
                )
            }
        )


def _require_sense(hazard: Hazard) -> None:
    """Refuse judgements that do not hold together, stages and stations unknown."""
    errors: dict[str, Any] = {}
    if set(hazard.stages) - set(Stage.values):
        errors["stages"] = _("Choose stages from the list.")
    if set(hazard.works) - set(WORK_WORDS):
        errors["works"] = _("Choose stations from the list.")
    problems = _judgement_problems(hazard)
    if problems:
        worse = hazard.likelihood_after > hazard.likelihood
        errors["likelihood_after" if worse else "severity_after"] = list(problems)
    if errors:
        raise ValidationError(errors)


def _judgement_problems(one: Hazard) -> tuple[str, ...]:
    try:
        before = Rating(Severity(one.severity), Likelihood(one.likelihood))
        after = Rating(Severity(one.severity_after), Likelihood(one.likelihood_after))
    except ValueError:
        return (_("Choose how bad and how likely, from 1 to 5."),)
    problems = residual_problems(before, after, severity_reason=one.severity_reason)
    return tuple(str(PROBLEMS[problem]) for problem in problems)


def _require_to_come(review_on: date, day: date) -> None:
    if review_on <= day:
        raise ValidationError({"review_on": _("Choose a day in the future.")})


def as_it_stands(hazard: Hazard) -> dict[str, Any]:
    """Return what an assessment says now, controls included, in plain values."""
    values = {name: _plain(getattr(hazard, name)) for name in FIELDS}
    controls = [
        f"{one.get_kind_display()}: {one.text}" for one in hazard.controls.all()
    ]
    return values | {"controls": controls}


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
