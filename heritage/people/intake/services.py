"""Taking somebody's own list in: all of it or nothing, and never twice.

A list being taken in is kept nowhere. Its lines go from step to step in the page
itself, signed for one demonstration and good for an hour, so that no file of people's
details lies about in a session or a table. The plan is drawn up anew under the lock,
and matching by name and address makes a second press add nobody.
"""

from collections.abc import Sequence
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.common.rows import lock
from heritage.kits.tables.read import TableRow
from heritage.people.intake.selectors import IntakePlan, Planned, intake_plan
from heritage.people.models import AgeBand, Volunteer
from heritage.season.models import Demonstration


@transaction.atomic
def take_in(
    *,
    demonstration: Demonstration,
    lines: Sequence[TableRow],
    columns: Sequence[str],
    now: datetime,
) -> IntakePlan:
    """Put a file's people on the list, and write in what was missing of others.

    The plan is drawn up anew under the lock, so that a second press of the button,
    or the same file next week, finds everybody there and adds nobody.

    Raises
    ------
    ValidationError
        If any line is refused: then nothing at all is changed.
    """
    demonstration = lock(demonstration)
    today = now.astimezone(demonstration.zone).date()
    plan = intake_plan(demonstration, lines, columns, today)
    if plan.refused:
        raise ValidationError(
            _("Nothing was added. Row %(line)d: %(why)s"),
            params={
                "line": plan.refused[0].line.number,
                "why": " ".join(plan.refused[0].words),
            },
        )
    grown = [row for row in plan.new if row.line.age_band == AgeBand.ADULT]
    young = [row for row in plan.new if row.line.age_band != AgeBand.ADULT]
    # Guardians first: a child's row needs theirs to be there.
    for rows in (grown, young):
        _enter(demonstration, rows, now)
    _fill_in(plan.filled)
    return plan


def _enter(demonstration: Demonstration, rows: list[Planned], now: datetime) -> None:
    for row in rows:
        guardian = row.guardian
        row.person = Volunteer(
            demonstration=demonstration,
            name=row.line.name,
            email=row.line.email,
            phone=row.line.phone,
            age_band=row.line.age_band,
            born_on=row.line.born_on,
            guardian=guardian.person if isinstance(guardian, Planned) else guardian,
            emergency_name=row.line.emergency_name,
            emergency_phone=row.line.emergency_phone,
            joined_at=now,
        )
        # The database checks the constraints itself, for all rows at once.
        row.person.clean_fields(exclude=["demonstration", "guardian", "user"])
    Volunteer.objects.bulk_create([row.person for row in rows if row.person])


def _fill_in(rows: list[Planned]) -> None:
    people = [row.person for row in rows if row.person]
    for row, person in zip(rows, people, strict=True):
        for name in row.fills:
            setattr(person, name, getattr(row.line, name))
        person.clean_fields(exclude=["demonstration", "guardian", "user"])
    if people:
        fields = {name for row in rows for name in row.fills}
        Volunteer.objects.bulk_update(people, sorted(fields))
