"""The log of a child lost or found: opened at once, ended with words, then deleted."""

from datetime import date, datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.incidents.children.selectors import BEFORE_GOING, STEPS
from heritage.incidents.models import ChildMatter, ChildStep, LostChild
from heritage.incidents.selectors import years_on
from heritage.people.models import User
from heritage.season.models import Demonstration

# Our own rule: long enough for a question that comes afterwards, and no longer.
KEPT_YEARS = 1


@transaction.atomic
def open_child_log(
    *, demonstration: Demonstration, said: dict[str, Any], by: User, now: datetime
) -> LostChild:
    """Open the log; from this moment the minutes count.

    Raises
    ------
    ValidationError
        If it is not said what the child looks like or where it was seen.
    """
    Demonstration.objects.select_for_update(no_key=True).get(pk=demonstration.pk)
    log = LostChild(demonstration=demonstration, opened_at=now, opened_by=by, **said)
    log.delete_on = _delete_on(log, now)
    log.full_clean()
    log.save()
    return log


@transaction.atomic
def press_child_step(*, log: LostChild, step: str, by: User, now: datetime) -> None:
    """Note that a line of the checklist is done; pressed twice, the first counts.

    Raises
    ------
    ValidationError
        If the log has ended, or has no such line.
    """
    log = _held(log)
    words = STEPS[log.matter].get(step)
    if words is None:
        raise ValidationError(_("That is no line of this list."))
    if not log.steps.filter(step=step).exists():
        _write(log, str(words), by, now, step=step)


@transaction.atomic
def note_of_child(*, log: LostChild, text: str, by: User, now: datetime) -> ChildStep:
    """Write a line of one's own into the log.

    Raises
    ------
    ValidationError
        If the log has ended, or nothing is said.
    """
    return _write(_held(log), text, by, now)


@transaction.atomic
def note_police_called(*, log: LostChild, by: User, now: datetime) -> LostChild:
    """Note when the police were called; pressed twice, the first counts."""
    log = _held(log)
    if log.police_called_at is None:
        log.police_called_at = now
        log.save(update_fields=["police_called_at"])
        _write(log, _("The police have been called."), by, now)
    return log


@transaction.atomic
def end_child_log(
    *, log: LostChild, said: dict[str, str], by: User, now: datetime
) -> LostChild:
    """End the log: how, to whom the child went, and who checked.

    Raises
    ------
    ValidationError
        If one of the three is not said, or a child that was found would go with
        somebody who has not been checked.
    """
    log = _held(log)
    _refuse_silence(said)
    if log.matter == ChildMatter.FOUND:
        _refuse_unchecked(log)
    for name, value in said.items():
        setattr(log, name, value)
    log.closed_at, log.closed_by, log.delete_on = now, by, _delete_on(log, now)
    log.full_clean()
    log.save(update_fields=[*said, "closed_at", "closed_by", "delete_on"])
    return log


@transaction.atomic
def delete_due_children(*, day: date) -> int:
    """Delete the ended logs whose day has come, each with its lines."""
    due = list(LostChild.objects.due(day).select_for_update())
    for log in due:
        log.delete()
    return len(due)


def _held(log: LostChild) -> LostChild:
    held = LostChild.objects.select_for_update(of=("self",))
    found = held.select_related("demonstration").get(pk=log.pk)
    if found.closed_at:
        raise ValidationError(_("This log has ended. Open another if need be."))
    return found


def _write(
    log: LostChild, text: str, by: User, now: datetime, *, step: str = ""
) -> ChildStep:
    line = ChildStep(lost_child=log, at=now, by=by, text=text, step=step)
    line.full_clean()
    line.save()
    return line


def _refuse_silence(said: dict[str, str]) -> None:
    asked = {
        "outcome": _("Say how it ended."),
        "went_to": _("Say to whom the child went."),
        "checked_by": _("Say who checked who they are."),
    }
    silent = {name: words for name, words in asked.items() if not said.get(name)}
    if silent:
        raise ValidationError(silent)


def _refuse_unchecked(log: LostChild) -> None:
    pressed = set(log.steps.values_list("step", flat=True))
    words = [STEPS[log.matter][step] for step in BEFORE_GOING if step not in pressed]
    if words:
        raise ValidationError(
            [_("Press this first: %s") % one for one in words]
            + [_("Nobody leaves with a child before that.")]
        )


def _delete_on(log: LostChild, now: datetime) -> date:
    return years_on(now.astimezone(log.demonstration.zone).date(), KEPT_YEARS)
