"""Which work at the machines is not done in public, because a guard was not seen."""

from collections.abc import Iterable
from datetime import datetime
from typing import Final

from django.utils.translation import gettext as _

from heritage.safety.models import MachineKind
from heritage.safety.selectors.machines import (
    MachineToday,
    machines_last_seen,
    machines_today,
)
from heritage.season.models import Demonstration, Stage

# What is fed where fibre is worked is a breaker or scutcher, in the field a puller.
FIBRE_STAGES: Final = {Stage.BREAKING, Stage.SCUTCHING, Stage.HACKLING}
AT_MACHINES: Final = ("drive", "feed", "lift_off")


def works_stopped(
    demonstration: Demonstration, day: datetime, stage: str, works: Iterable[str]
) -> dict[str, str]:
    """Say of each work at a machine why it is not done in public on a day, if so.

    A work stands still when there are machines of its sort on the list and none of
    them was seen that day with every guard in its place. ``day`` is any moment of it.
    Three queries, none where no work is at a machine.
    """
    asked = _at_machines(works)
    return _stopped(machines_today(demonstration, day), stage, asked) if asked else {}


def guards_missing(
    demonstration: Demonstration, stage: str, works: Iterable[str]
) -> dict[str, str]:
    """Say of each work at a machine which guards were missing when it was last seen.

    A machine that nobody has looked at yet is not found fault with. Three queries.
    """
    asked = _at_machines(works)
    if not asked:
        return {}
    seen = [one for one in machines_last_seen(demonstration) if one.check]
    return _stopped(seen, stage, asked)


def _at_machines(works: Iterable[str]) -> set[str]:
    return set(works) & set(AT_MACHINES)


def _stopped(
    machines: Iterable[MachineToday], stage: str, works: set[str]
) -> dict[str, str]:
    rows = list(machines)
    found = {}
    for work in sorted(works):
        used = [one for one in rows if one.machine.kind == _sort(work, stage)]
        if used and not any(one.may_run for one in used):
            found[work] = " ".join(f"{one.machine}: {one.words}." for one in used)
    return found


def _sort(work: str, stage: str) -> MachineKind:
    if work == "drive":
        return MachineKind.TRACTOR
    return MachineKind.BREAKER if stage in FIBRE_STAGES else MachineKind.PULLER


def how_to_mend() -> str:
    """Say what lets a machine run again."""
    return _("Look at its guards under “Safety”, “Machines”, and write it down.")
