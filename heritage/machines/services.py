"""Write down the machines and their guards, and check them on the day."""

import json
from collections.abc import Collection, Mapping, Sequence
from datetime import datetime
from importlib.resources import files
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.common.rows import add_together, fill_in, lock
from heritage.machines.models import Guard, Machine, MachineCheck
from heritage.people.models import User
from heritage.season.models import Demonstration


@transaction.atomic
def keep_machine(
    *, machine: Machine, values: Mapping[str, Any], guards: Sequence[str]
) -> Machine:
    """Write down a machine with the guards it must have, or correct it.

    A guard that is new has not been seen today.

    Raises
    ------
    ValidationError
        By field, if it has no guards or a value cannot be.
    """
    if not guards:
        raise ValidationError({"guards": _("Enter the guards, one on each line.")})
    who, home = values.get("worked_by"), machine.demonstration_id
    if who and who.demonstration_id != home:
        raise ValidationError({"worked_by": _("Choose one of the skills here.")})
    machine = fill_in(lock(machine) if machine.pk else machine, values)
    machine.guards.exclude(name__in=guards).delete()
    known = set(machine.guards.values_list("name", flat=True))
    new = [name for name in dict.fromkeys(guards) if name not in known]
    rows = [Guard(machine=machine, name=name) for name in new]
    add_together(rows, parent="machine")
    return machine


@transaction.atomic
def delete_machine(*, machine: Machine) -> None:
    """Take away a machine that was never checked."""
    machine = lock(machine)
    if machine.checks.exists():
        raise ValidationError(
            _(
                "%s has been checked, and we keep those checks. Write in its note that "
                "it isn't used."
            )
            % machine
        )
    machine.delete()


@transaction.atomic
def check_machine(
    *,
    machine: Machine,
    present: Collection[str],
    by: User,
    now: datetime,
    note: str = "",
) -> MachineCheck:
    """Write down which guards are in their place; with one missing it does not run."""
    machine = lock(machine)
    if not Machine.objects.run_by(by, now).contains(machine):
        raise ValidationError(_("Only an organiser or the lead can check machines."))
    guards = [guard.name for guard in machine.guards.all()]
    if not guards:
        raise ValidationError(_("Enter its guards first. There are none to check."))
    if set(present) - set(guards):
        raise ValidationError(
            {"present": _("The list of guards has changed. Check them again.")}
        )
    missing = [name for name in guards if name not in present]
    values = {
        "present": [name for name in guards if name in present],
        "missing": missing,
        "may_run": not missing,
        "note": note.strip(),
    }
    return fill_in(MachineCheck(machine=machine, checked_at=now, checked_by=by), values)


@transaction.atomic
def load_starting_machines(*, demonstration: Demonstration) -> list[Machine]:
    """Add the usual machines of this work that are not on the list yet."""
    lock(demonstration)
    known = set(demonstration.machines.values_list("name", flat=True))
    text = files("heritage.machines").joinpath("starting_machines.json")
    rows = json.loads(text.read_text(encoding="utf-8"))
    return [
        keep_machine(
            machine=Machine(demonstration=demonstration),
            guards=row.pop("guards"),
            values=row,
        )
        for row in rows
        if row["name"] not in known
    ]
