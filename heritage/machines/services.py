"""Write down the machines and their guards, and check them on the day."""

import json
from collections.abc import Collection, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime, timedelta
from importlib.resources import files

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.machines.models import Guard, Machine, MachineCheck
from heritage.people.models import Competence, User
from heritage.season.models import Demonstration

# A lead checks the machine before the evening, and until it is over.
LEADS_CHECK_FOR = timedelta(0)


@dataclass(frozen=True, slots=True)
class MachineWords:
    """What an organiser says about a machine; guards are one name each."""

    name: str
    kind: str
    stop: str
    guards: Sequence[str]
    worked_by: Competence | None = None
    fuel: str = ""
    barrier: str = ""
    note: str = ""


@transaction.atomic
def add_machine(*, demonstration: Demonstration, words: MachineWords) -> Machine:
    """Write down a machine with the guards it must have."""
    return _keep(Machine(demonstration=demonstration), words)


@transaction.atomic
def edit_machine(*, machine: Machine, words: MachineWords) -> Machine:
    """Put a machine right; a guard that is new has not been seen today."""
    return _keep(_held(machine), words)


@transaction.atomic
def delete_machine(*, machine: Machine) -> None:
    """Take away a machine that was never checked."""
    machine = _held(machine)
    if machine.checks.exists():
        raise ValidationError(
            _(
                "%s has been checked, and the record of that stays. Write in its note "
                "that it is not used."
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
    machine = _held(machine)
    if not Machine.objects.run_by(by, now - LEADS_CHECK_FOR).contains(machine):
        raise ValidationError(_("Only an organiser or the lead checks the machines."))
    guards = [guard.name for guard in machine.guards.all()]
    if not guards:
        raise ValidationError(
            _("Write down its guards first: there are none to check.")
        )
    if set(present) - set(guards):
        raise ValidationError(
            {"present": _("The list of guards has changed. Look at them once more.")}
        )
    missing = [name for name in guards if name not in present]
    check = MachineCheck(
        machine=machine,
        present=[name for name in guards if name in present],
        missing=missing,
        may_run=not missing,
        note=note.strip(),
        checked_at=now,
        checked_by=by,
    )
    check.full_clean()
    check.save()
    return check


@transaction.atomic
def load_starting_machines(*, demonstration: Demonstration) -> list[Machine]:
    """Add the usual machines of this work that are not on the list yet."""
    Demonstration.objects.select_for_update(no_key=True).get(pk=demonstration.pk)
    known = set(demonstration.machines.values_list("name", flat=True))
    text = files("heritage.machines").joinpath("starting_machines.json")
    rows = json.loads(text.read_text(encoding="utf-8"))
    return [
        _keep(Machine(demonstration=demonstration), MachineWords(**row))
        for row in rows
        if row["name"] not in known
    ]


def _held(machine: Machine) -> Machine:
    return Machine.objects.select_for_update().get(pk=machine.pk)


def _keep(machine: Machine, words: MachineWords) -> Machine:
    said = asdict(words)
    guards = list(dict.fromkeys(said.pop("guards")))
    said["worked_by"] = words.worked_by
    if not guards:
        raise ValidationError({"guards": _("Write down the guards, one to a line.")})
    home = machine.demonstration_id
    if words.worked_by and words.worked_by.demonstration_id != home:
        raise ValidationError({"worked_by": _("Choose among what is asked for here.")})
    for field, value in said.items():
        setattr(machine, field, value)
    machine.full_clean()
    machine.save()
    machine.guards.exclude(name__in=guards).delete()
    known = set(machine.guards.values_list("name", flat=True))
    for name in guards:
        if name not in known:
            guard = Guard(machine=machine, name=name)
            guard.full_clean()
            guard.save()
    return machine
