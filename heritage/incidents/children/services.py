"""The log of a child lost or found: opened at once, ended with words, then deleted."""

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.common.rows import fill_in, lock
from heritage.incidents.children.selectors import BEFORE_GOING, POLICE, STEPS
from heritage.incidents.models import ChildMatter, ChildStep, LostChild
from heritage.incidents.selectors import years_on
from heritage.people.models import User
from heritage.season.models import Demonstration

# Our own rule: long enough for a question that comes afterwards, and no longer.
KEPT_YEARS = 1


@transaction.atomic
def open_child_log(
    *, demonstration: Demonstration, values: Mapping[str, Any], by: User, now: datetime
) -> LostChild:
    """Open the log; from this moment the minutes count.

    Raises
    ------
    ValidationError
        If nothing says what the child looks like or where it was seen.
    """
    lock(demonstration)
    log = LostChild(demonstration=demonstration, opened_at=now, opened_by=by)
    log.delete_on = _delete_on(log, now)
    return fill_in(log, values)


@transaction.atomic
def press_child_step(*, log: LostChild, step: str, by: User, now: datetime) -> None:
    """Note that a line of the checklist is done; pressed twice, the first counts.

    Raises
    ------
    ValidationError
        If the log has ended, or has no such line.
    """
    log = _locked(log)
    words = STEPS[log.matter].get(step)
    if words is None or step == POLICE:
        raise ValidationError(_("Choose a step from the list."))
    if not log.steps.filter(step=step).exists():
        _write(log, _("Done: %s") % words, by, now, step=step)


@transaction.atomic
def note_of_child(*, log: LostChild, text: str, by: User, now: datetime) -> ChildStep:
    """Write a line of one's own into the log.

    Raises
    ------
    ValidationError
        If the log has ended, or there are no words.
    """
    return _write(_locked(log), text, by, now)


@transaction.atomic
def note_police_called(*, log: LostChild, by: User, now: datetime) -> LostChild:
    """Note when the police were called; pressed twice, the first counts."""
    log = _locked(log)
    if log.police_called_at is None:
        log.police_called_at = now
        log.save(update_fields=["police_called_at"])
        _write(log, _("The police have been called."), by, now, step=POLICE)
    return log


@transaction.atomic
def end_child_log(
    *, log: LostChild, values: Mapping[str, str], by: User, now: datetime
) -> LostChild:
    """End the log: how, to whom the child went, and who checked.

    Raises
    ------
    ValidationError
        If one of the three is empty, or a child that was found would go with
        somebody who has not been checked.
    """
    log = _locked(log)
    _refuse_empty(values)
    if log.matter == ChildMatter.FOUND:
        _refuse_unchecked(log)
    log.closed_at, log.closed_by, log.delete_on = now, by, _delete_on(log, now)
    return fill_in(log, values)


def _locked(log: LostChild) -> LostChild:
    """Lock a log that is still open, and return it as it is now."""
    rows = LostChild.objects.select_for_update(of=("self",))
    log = rows.select_related("demonstration").get(pk=log.pk)
    if log.closed_at:
        raise ValidationError(_("This log has ended. Start another if you need one."))
    return log


def _write(
    log: LostChild, text: str, by: User, now: datetime, *, step: str = ""
) -> ChildStep:
    row = ChildStep(lost_child=log, at=now, by=by)
    return fill_in(row, {"text": text, "step": step})


def _refuse_empty(values: Mapping[str, str]) -> None:
    asked = {
        "outcome": _("Say how it ended."),
        "went_to": _("Say who the child left with."),
        "checked_by": _("Say who checked their identity."),
    }
    empty = {name: words for name, words in asked.items() if not values.get(name)}
    if empty:
        raise ValidationError(empty)


def _refuse_unchecked(log: LostChild) -> None:
    pressed = set(log.steps.values_list("step", flat=True))
    words = [STEPS[log.matter][step] for step in BEFORE_GOING if step not in pressed]
    if words:
        raise ValidationError(
            [_("Press this first: %s") % one for one in words]
            + [_("Don't let anybody leave with a child before that.")]
        )


def _delete_on(log: LostChild, now: datetime) -> date:
    return years_on(now.astimezone(log.demonstration.zone).date(), KEPT_YEARS)
