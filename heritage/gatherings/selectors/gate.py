"""The gate: who is still expected, who is here, who has gone, who else might come."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q

from heritage.gatherings.models import Gathering, Safe, SignUp, Turnout
from heritage.gatherings.selectors.asks import Refusal, known_of, refusal
from heritage.gatherings.selectors.running import standing_still
from heritage.people.models import Volunteer, VolunteerQuerySet


@dataclass(frozen=True, slots=True)
class AtGate:
    """One person as the gate sees them."""

    volunteer: Volunteer
    station: str
    row: Turnout | None
    # Why they may not begin at their station, if they have one and may not.
    not_yet: Refusal | None = None
    # A child, here without the adult who answers for them.
    is_alone: bool = False


@dataclass(frozen=True, slots=True)
class Initial:
    """Those of the list whose names begin with one letter."""

    letter: str
    people: tuple[Volunteer, ...]


@dataclass(frozen=True, slots=True)
class GatePage:
    """Everybody of tonight by where they are, and the rest of the list by letter."""

    gathering: Gathering
    expected: tuple[AtGate, ...]
    here: tuple[AtGate, ...]
    gone: tuple[AtGate, ...]
    others: tuple[Initial, ...]
    # Those whose places were freed, who may come yet.
    not_come: tuple[AtGate, ...]
    # Whether the places of those still expected may be freed now.
    is_past_grace: bool
    # Which machines do not run in public tonight, and why.
    machines: tuple[str, ...] = ()

    @property
    def waits(self) -> int:
        """How many are here and may not begin yet, or have no station yet."""
        return sum(bool(one.not_yet) or not one.station for one in self.here)


def gate_page(gathering: Gathering, now: datetime) -> GatePage:
    """Return who stands where: ten queries at most, however many they are."""
    marks = {row.volunteer_id: row for row in gathering.turnout.with_people()}
    rows = list(gathering.sign_ups.expected().for_page())
    places = {row.volunteer_id: row for row in rows if row.is_held}
    freed = {
        row.volunteer_id: row
        for row in rows
        if not row.is_held and row.volunteer_id not in marks
    }
    people = {key: row.volunteer for key, row in places.items()}
    people |= {key: row.volunteer for key, row in marks.items()}
    barred, still = _barred(gathering, list(places.values()))
    here = {key for key, row in marks.items() if row.is_here_at(now)}
    everybody = [
        AtGate(
            person,
            places[person.pk].station.title if person.pk in places else "",
            marks.get(person.pk),
            barred.get(person.pk),
            is_alone=person.guardian_id is not None and person.guardian_id not in here,
        )
        for person in sorted(people.values(), key=_by_name)
    ]
    listed = Volunteer.objects.of(gathering.demonstration).active().by_name()
    rest = [one for one in listed if one.pk not in people | freed]
    return GatePage(
        gathering=gathering,
        expected=tuple(one for one in everybody if one.row is None),
        here=tuple(one for one in everybody if one.volunteer.pk in here),
        gone=tuple(
            one for one in everybody if one.row and one.volunteer.pk not in here
        ),
        others=_by_letter(rest),
        not_come=tuple(
            AtGate(row.volunteer, row.station.title, None) for row in freed.values()
        ),
        is_past_grace=gathering.is_posted
        and gathering.grace_ends_at <= now < gathering.ends_at,
        machines=tuple(dict.fromkeys(why.reason for why in still.values())),
    )


def adults_here(gathering: Gathering, now: datetime) -> VolunteerQuerySet:
    """Return the adults in the field, by name."""
    rows = Volunteer.objects.of(gathering.demonstration).active()
    here = gathering.turnout.here_at(now).values("volunteer")
    return rows.adults().filter(pk__in=here).by_name()


def adults_counted(gathering: Gathering, now: datetime) -> VolunteerQuerySet:
    """Return the adults who may stay with a child at the meeting point, by name."""
    rows = Volunteer.objects.of(gathering.demonstration).active().adults()
    here = gathering.turnout.here_at(now).values("volunteer")
    seen = Safe.objects.among(gathering.musters.open()).values("volunteer")
    staying = Q(pk__in=here) | Q(pk__in=seen) | Q(pk=gathering.lead_id)
    return rows.filter(staying).by_name()


def _barred(
    gathering: Gathering, places: list[SignUp]
) -> tuple[dict[int, Refusal], dict[int, Refusal]]:
    """Say of whoever may not begin at their station why, and which stand still."""
    asks = gathering.stations.select_related("briefing", "competence")
    stations = {row.pk: row for row in asks.in_order()}
    still = standing_still(gathering, stations.values())
    known = known_of([row.volunteer for row in places], gathering, stations.values())
    found = {
        row.volunteer_id: refusal(
            stations[row.station_id], gathering, row.volunteer, known
        )
        or still.get(row.station_id)
        for row in places
    }
    return {key: why for key, why in found.items() if why}, still


def _by_name(person: Volunteer) -> tuple[str, int]:
    return person.name.casefold(), person.pk


def _by_letter(people: list[Volunteer]) -> tuple[Initial, ...]:
    found: dict[str, list[Volunteer]] = {}
    for person in sorted(people, key=_by_name):
        found.setdefault(person.name[:1].upper(), []).append(person)
    return tuple(Initial(letter, tuple(rest)) for letter, rest in found.items())
