"""Carrying out the rules on how long things are kept, one class at a time."""

from datetime import datetime
from functools import partial

from django.core.exceptions import ValidationError
from django.core.files.storage import default_storage
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.incidents.models import Evidence
from heritage.people.agreements.services import delete_due_notes
from heritage.people.models import User
from heritage.people.particulars.services import require_organiser
from heritage.privacy.keeping.selectors import BY_KEY, RULES, Rule, due_rows
from heritage.privacy.models import Tidying
from heritage.season.models import Demonstration


def tidy(
    *,
    demonstration: Demonstration,
    now: datetime,
    by: User | None = None,
) -> list[Tidying]:
    """Delete what is due of every class, each in one stroke; log what went.

    Nobody stands behind it where a timer calls it.
    """
    done = [
        tidy_class(demonstration=demonstration, key=rule.key, now=now, by=by)
        for rule in RULES
        if rule.is_ever_due
    ]
    return [row for row in done if row]


@transaction.atomic
def tidy_class(
    *,
    demonstration: Demonstration,
    key: str,
    now: datetime,
    by: User | None = None,
) -> Tidying | None:
    """Delete what is due of one class, all or nothing; None where nothing was.

    Raises
    ------
    ValidationError
        If there is no such class, or the person who asks does not organise.
    """
    Demonstration.objects.select_for_update(no_key=True).get(pk=demonstration.pk)
    if by:
        require_organiser(demonstration, by)
    rule = BY_KEY.get(key)
    if rule is None or not rule.is_ever_due:
        raise ValidationError(_("Nothing of that kind is ever due."))
    rows = _delete(rule, demonstration, now)
    if not rows:
        return None
    return Tidying.objects.create(
        demonstration=demonstration, rule=rule.key, rows=rows, at=now, by=by
    )


def _delete(rule: Rule, demonstration: Demonstration, now: datetime) -> int:
    if rule.key == "health":
        # The note's own rule sets its day anew where somebody signed up again.
        day = now.astimezone(demonstration.zone).date()
        return len(delete_due_notes(day, demonstration=demonstration))
    if rule.key == "incidents":
        _drop_photographs(rule, demonstration, now)
    count = 0
    for rows in due_rows(rule, demonstration, now):
        count += rows.count()
        rows.delete()
    return count


def _drop_photographs(rule: Rule, demonstration: Demonstration, now: datetime) -> None:
    """Take the files of the incidents' photographs along, once the rows are gone."""
    for incidents in due_rows(rule, demonstration, now):
        shown = Evidence.objects.filter(incident__in=incidents)
        for name in shown.values_list("file", flat=True):
            transaction.on_commit(partial(default_storage.delete, name))
