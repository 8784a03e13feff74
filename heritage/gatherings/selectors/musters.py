"""Who is in the field now, and who of them has been seen at the meeting point."""

from dataclasses import dataclass
from datetime import datetime

from heritage.gatherings.models import Gathering, Muster, Safe
from heritage.people.models import Volunteer
from heritage.safety.models import EmergencyPlan


@dataclass(frozen=True, slots=True)
class Counted:
    """One person who is here, or is to be counted, or was seen."""

    volunteer: Volunteer
    seen: Safe | None
    # Where they were to work: the first place to look.
    station: str = ""

    @property
    def contact(self) -> str:
        """Whom to telephone about them: themselves, or who answers for them."""
        person = self.volunteer
        if person.phone:
            return person.phone
        if person.guardian and person.guardian.phone:
            return f"{person.guardian.phone} ({person.guardian})"
        return " ".join(filter(None, [person.emergency_phone, person.emergency_name]))


@dataclass(frozen=True, slots=True)
class HeadCount:
    """The one screen of an emergency: how many, who, and who is missing."""

    gathering: Gathering
    plan: EmergencyPlan | None
    muster: Muster | None
    people: tuple[Counted, ...]
    expected: int
    earlier: tuple[Muster, ...]

    @property
    def missing(self) -> list[Counted]:
        return [one for one in self.people if one.seen is None]

    @property
    def safe(self) -> list[Counted]:
        return [one for one in self.people if one.seen is not None]


def head_count(gathering: Gathering, now: datetime) -> HeadCount:
    """Return everybody who is here, or to be counted: seven queries at the most."""
    musters = list(gathering.musters.newest_first().with_names())
    muster = next((one for one in musters if one.closed_at is None), None)
    seen = {row.volunteer_id: row for row in muster.safe.for_page()} if muster else {}
    rows = muster.awaited.all() if muster else gathering.turnout.here_at(now)
    here = [row.volunteer for row in rows.with_people()]
    known = {person.pk for person in here}
    extra = [row.volunteer for row in seen.values() if row.volunteer_id not in known]
    where = dict(
        gathering.sign_ups.held().values_list("volunteer_id", "station__title")
    )
    people = sorted([*here, *extra], key=lambda one: (one.name.casefold(), one.pk))
    return HeadCount(
        gathering=gathering,
        plan=EmergencyPlan.objects.of(gathering.demonstration).first(),
        muster=muster,
        people=tuple(
            Counted(person, seen.get(person.pk), where.get(person.pk, ""))
            for person in people
        ),
        expected=gathering.sign_ups.held().not_among(gathering.turnout.all()).count(),
        earlier=tuple(one for one in musters if one.closed_at is not None),
    )


def not_seen(muster: Muster) -> list[Volunteer]:
    """Return whom nobody has seen yet of those to be counted, by name."""
    seen = muster.safe.values("volunteer")
    missing = muster.awaited.exclude(volunteer__in=seen).with_people()
    return [row.volunteer for row in missing.order_by("volunteer__name", "pk")]
