"""The machines, and whether each may run in public today.

A work stands still with its sort of machine: a station names a job, not a machine.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime, time
from typing import Final

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from heritage.briefings.emergency.selectors import jurisdiction_of
from heritage.briefings.emergency.words import petrol_words
from heritage.briefings.models import EmergencyPlan
from heritage.briefings.words import RuleWords, rule_words
from heritage.calc import young_people
from heritage.calc.risk import petrol_storage
from heritage.machines.models import (
    Machine,
    MachineCheck,
    MachineCheckQuerySet,
    MachineKind,
)
from heritage.season.models import AT_BREAKER, Demonstration

PAST_CHECKS = 20
# Of many missing guards so many are named in a list; the machine's page names all.
NAMED = 3
JAM_RULE = (
    gettext_lazy("Stop. Anybody may call it."),
    gettext_lazy("Engine off. Take the key out, or cut the power off, and keep it."),
    gettext_lazy("Wait until everything is still."),
    gettext_lazy("Only then clear the jam, with a stick and not with a hand."),
    gettext_lazy("Put every guard back before you start again."),
)


@dataclass(frozen=True, slots=True)
class MachineToday:
    """One machine and its last check of the day: unchecked, it does not run."""

    machine: Machine
    check: MachineCheck | None
    # A puller on a day on which no tractor of the place may run.
    lacks_tractor: bool = False

    @property
    def guards(self) -> tuple[str, ...]:
        """The guards it must have, in their order."""
        return tuple(guard.name for guard in self.machine.guards.all())

    @property
    def unchecked(self) -> tuple[str, ...]:
        """The guards that the day's check did not find in their place."""
        present = set(self.check.present) if self.check else set()
        return tuple(name for name in self.guards if name not in present)

    @property
    def may_run(self) -> bool:
        """Whether every guard was seen in its place today."""
        return bool(self.check and self.check.may_run and not self.unchecked)

    @property
    def words(self) -> str:
        """Whether it may run in public today, and if not why not."""
        if self.may_run and self.lacks_tractor:
            return _("can't run if a tractor drives it: no tractor may run today")
        if self.may_run:
            return _("checked today, every guard in place")
        if self.check is None:
            return _("not checked today, so it can't run in public")
        return _lacking_words(self.lacking)

    @property
    def lacking(self) -> list[str]:
        """The guards that are missing, each once."""
        missing = [*self.check.missing] if self.check else []
        return missing + [name for name in self.unchecked if name not in missing]

    @property
    def in_short(self) -> str:
        """The same for a list or a heading: of many missing guards the first few."""
        more = len(self.lacking) - NAMED
        if not self.check or more < 2:
            return self.words
        told = _lacking_words(self.lacking[:NAMED])
        return _("%(told)s and %(more)d more") % {"told": told, "more": more}

    @property
    def tag(self) -> str:
        """The shape shown beside the words."""
        if self.may_run:
            return "tag-due" if self.lacks_tractor else "tag-go"
        return "tag-off" if self.check else "tag-due"


def _lacking_words(names: list[str]) -> str:
    return _("can't run in public today. Missing: %s") % ", ".join(names)


@dataclass(frozen=True, slots=True)
class MachinePage:
    """A machine's own page: its rules, the fuel, who may work it, past checks."""

    today: MachineToday
    age: RuleWords
    fuel: str
    litres: float
    past: tuple[MachineCheck, ...]

    @property
    def machine(self) -> Machine:
        """The machine itself."""
        return self.today.machine


def machines_today(
    demonstration: Demonstration, now: datetime
) -> tuple[MachineToday, ...]:
    """Return every machine with its last check of this day: three queries."""
    checks = MachineCheck.objects.of(demonstration)
    return _machines(demonstration, checks.since(_midnight(demonstration, now)))


def machines_last_seen(demonstration: Demonstration) -> tuple[MachineToday, ...]:
    """Return every machine with the last check there was of it: three queries."""
    return _machines(demonstration, MachineCheck.objects.of(demonstration).last_looks())


def _machines(
    demonstration: Demonstration, checks: MachineCheckQuerySet
) -> tuple[MachineToday, ...]:
    rows = list(Machine.objects.of(demonstration).by_name().with_guards())
    newest: dict[int, MachineCheck] = {}
    for check in checks.newest_first():
        newest.setdefault(check.machine_id, check)
    found = [MachineToday(row, newest.get(row.pk)) for row in rows]
    tractors = [one for one in found if one.machine.kind == MachineKind.TRACTOR]
    stands = bool(tractors) and not any(one.may_run for one in tractors)
    return tuple(
        replace(one, lacks_tractor=stands and one.machine.kind == MachineKind.PULLER)
        for one in found
    )


def machine_page(machine: Machine, now: datetime) -> MachinePage:
    """Return a machine's own page: at most six queries besides the machine's."""
    place = machine.demonstration
    past = tuple(machine.checks.newest_first()[:PAST_CHECKS])
    midnight = _midnight(place, now)
    check = next((check for check in past if check.checked_at >= midnight), None)
    today = MachineToday(machine, check)
    if machine.kind == MachineKind.PULLER:
        rows = machines_today(place, now)
        today = next((one for one in rows if one.machine.pk == machine.pk), today)
    plan = EmergencyPlan.objects.of(place).first()
    litres = float(plan.petrol_l or 0) if plan else 0.0
    work = "feed" if machine.kind in _FED else "drive"
    return MachinePage(
        today=today,
        age=rule_words(young_people.least_age(place.jurisdiction, work)),
        fuel=petrol_words(petrol_storage(litres, jurisdiction=jurisdiction_of(place))),
        litres=litres,
        past=past,
    )


_FED = {MachineKind.PULLER, MachineKind.BREAKER, MachineKind.OTHER}


def _midnight(demonstration: Demonstration, now: datetime) -> datetime:
    """Return when the day began where the demonstration is."""
    day = now.astimezone(demonstration.zone).date()
    return datetime.combine(day, time(), tzinfo=demonstration.zone)


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

    A machine that nobody has looked at yet is left out. Three queries.
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
    reasons = {}
    for work in sorted(works):
        used = [one for one in rows if one.machine.kind == _sort(work, stage)]
        if used and not any(one.may_run for one in used):
            reasons[work] = " ".join(f"{one.machine}: {one.words}." for one in used)
    return reasons


def _sort(work: str, stage: str) -> MachineKind:
    if work == "drive":
        return MachineKind.TRACTOR
    return MachineKind.BREAKER if stage in AT_BREAKER else MachineKind.PULLER


def how_to_mend() -> str:
    """Say what lets a machine run again."""
    return _("Look at its guards under “Safety”, “Machines”, and write it down.")
