"""The gate: who is still expected, who is here, who has gone, who else might come."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from decimal import Decimal
from typing import NamedTuple, TypeVar

from django.db.models import Q
from django.utils.translation import gettext as _

from heritage.briefings.models import BriefingVersion, EmergencyPlan
from heritage.calc.weather import thunder_hold
from heritage.common.parting import Part, is_named, parted
from heritage.gatherings.asked.selectors import (
    Known,
    Refusal,
    known_of,
    refusal,
    standing_still,
)
from heritage.gatherings.ground.selectors import Filling, filling_of
from heritage.gatherings.models import (
    Gathering,
    Muster,
    Safe,
    SignUp,
    Station,
    Turnout,
    beets_of,
    thunder_heard,
)
from heritage.people.models import AgeBand, Volunteer, VolunteerQuerySet


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
    # The key of their place, if they have one.
    place: int | None = None


@dataclass(frozen=True, slots=True)
class Initial:
    """Those of the list whose names begin with one letter."""

    letter: str
    people: tuple[Volunteer, ...]


def _their_name(one: AtGate) -> str:
    return one.volunteer.name


# Of more people than these no part stands open: they are searched.
MOST_OPEN = 40


def _by_tens(people: Sequence[AtGate]) -> list[Part[AtGate]]:
    return parted(people, _their_name, opens=len(people) <= MOST_OPEN)


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
    def expected_parts(self) -> list[Part[AtGate]]:
        """Who is expected, in parts by name."""
        return _by_tens(self.expected)

    def found(self, wanted: str) -> list[tuple[Volunteer, bool]]:
        """Return whom a search by name finds, and whether they are here."""
        at_gate = (*self.expected, *self.here, *self.gone, *self.not_come)
        here = {one.volunteer.pk for one in self.here}
        others = (person for initial in self.others for person in initial.people)
        people = (*(one.volunteer for one in at_gate), *others)
        return [
            (person, person.pk in here)
            for person in sorted(people, key=_by_name)
            if is_named(person.name, wanted)
        ]

    @property
    def waits(self) -> int:
        """How many are here and may not begin yet, or have no station yet."""
        return sum(bool(one.not_yet) or not one.station for one in self.here)


def gate_page(gathering: Gathering, now: datetime) -> GatePage:
    """Return who stands where: ten queries at most, however many they are."""
    marks = {row.volunteer_id: row for row in gathering.turnout.with_people()}
    rows = list(gathering.sign_ups.expected().for_page())
    places = {row.volunteer_id: row for row in rows if row.is_held}
    awaited = {} if gathering.is_called_off else places
    freed = {row.volunteer_id: row for row in rows if not row.is_held}
    freed = {key: row for key, row in freed.items() if key not in marks}
    people = {key: row.volunteer for key, row in (awaited | marks).items()}
    barred, still = _barred(gathering, list(places.values()))
    here = {key for key, row in marks.items() if row.is_here_at(now)}
    everybody = [
        _at_gate(person, places.get(person.pk), marks.get(person.pk), barred, here)
        for person in sorted(people.values(), key=_by_name)
    ]
    came = [one for one in everybody if one.row]
    return GatePage(
        gathering=gathering,
        expected=tuple(one for one in everybody if not one.row),
        here=tuple(one for one in came if one.volunteer.pk in here),
        gone=tuple(one for one in came if one.volunteer.pk not in here),
        others=_by_letter(gathering, people | freed),
        not_come=tuple(
            AtGate(row.volunteer, row.station.title, None) for row in freed.values()
        ),
        is_past_grace=_may_free_places(gathering, now),
        machines=tuple(dict.fromkeys(why.reason for why in still.values())),
    )


@dataclass(frozen=True, slots=True)
class Pulling:
    """Somebody who is here, and what they have pulled tonight."""

    at_gate: AtGate
    beets: int


@dataclass(frozen=True, slots=True)
class OnNow:
    """A gathering while it is on: who is here, what they pulled, who is to come."""

    gate: GatePage
    # Those who may not begin yet come first.
    people: tuple[Pulling, ...]
    beets: int

    @property
    def named(self) -> set[int]:
        """Who is here or still to come: their name is said there, once."""
        here = {one.at_gate.volunteer.pk for one in self.people}
        return here | {one.volunteer.pk for one in self.gate.expected}


def on_now(gathering: Gathering, now: datetime) -> OnNow:
    """Return what a lead sees while it is on: eleven queries at most."""
    page, beets = gate_page(gathering, now), beets_of(gathering)
    waiting_first = sorted(page.here, key=lambda one: not one.not_yet)
    people = (Pulling(one, beets.get(one.volunteer.pk, 0)) for one in waiting_first)
    return OnNow(page, tuple(people), sum(beets.values()))


@dataclass(frozen=True, slots=True)
class Brought:
    """What a gathering that is over brought: who came, beets, and one's own."""

    came: int
    beets: int
    mine: int


def brought(gathering: Gathering, reader: Volunteer | None) -> Brought:
    """Return what it brought: two queries."""
    beets = beets_of(gathering)
    return Brought(
        came=gathering.turnout.count(),
        beets=sum(beets.values()),
        mine=beets.get(reader.pk, 0) if reader else 0,
    )


@dataclass(frozen=True, slots=True)
class Stands:
    """Where a gathering stands: on, or over; before it neither is known."""

    on: OnNow | None = None
    brought: Brought | None = None


def stands(
    gathering: Gathering,
    now: datetime,
    reader: Volunteer | None,
    *,
    is_led: bool,
    is_asked: bool = False,
) -> Stands:
    """Return how it goes on, for who leads it, or what it brought.

    A lead about to tick off who comes (`is_asked`) sees it as if it were on.
    """
    here = Gathering.objects.in_the_field(now)
    shows = is_led and (is_asked or here.contains(gathering))
    on = on_now(gathering, now) if shows else None
    # It begins with the hour, or with the first who comes.
    if on and (is_asked or on.people or now >= gathering.starts_at):
        return Stands(on=on)
    is_over = now >= gathering.ends_at
    return Stands(brought=brought(gathering, reader) if is_over else None)


def _may_free_places(gathering: Gathering, now: datetime) -> bool:
    is_past_grace = gathering.grace_ends_at <= now < gathering.ends_at
    return gathering.is_posted and is_past_grace


def _at_gate(
    person: Volunteer,
    place: SignUp | None,
    mark: Turnout | None,
    barred: Mapping[int, Refusal],
    here: Collection[int],
) -> AtGate:
    station = place.station.title if place else ""
    is_alone = _is_without_adult(person, here)
    why, key = barred.get(person.pk), place.pk if place else None
    return AtGate(person, station, mark, why, is_alone, key)


def _is_without_adult(person: Volunteer, here: Collection[int]) -> bool:
    return person.guardian_id is not None and person.guardian_id not in here


def left_alone(
    gathering: Gathering, person: Volunteer, now: datetime
) -> list[Volunteer]:
    """Return the children here without their adult, of one person's household."""
    marks = gathering.turnout.here_at(now).with_people()
    here = {row.volunteer_id: row.volunteer for row in marks}
    return [
        one
        for one in sorted(here.values(), key=_by_name)
        if _is_without_adult(one, here) and person.pk in (one.pk, one.guardian_id)
    ]


@dataclass(frozen=True, slots=True)
class Alarm:
    """What holds for everybody at once: called out, or waiting after thunder."""

    gathering: Gathering
    muster: Muster | None
    resume_at: datetime | None


def alarm_of(gathering: Gathering, now: datetime) -> Alarm:
    """Return whether everybody is called out or under shelter: two queries."""
    resume_at = thunder_hold(thunder_heard(gathering))
    waits = resume_at is not None and resume_at > now
    muster = gathering.musters.open().first()
    return Alarm(gathering, muster, resume_at if waits else None)


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
    """Say why somebody may not begin at their station, and which stand still."""
    stations = {row.pk: row for row in gathering.stations.with_asked()}
    still = standing_still(gathering, stations.values())
    known = known_of([row.volunteer for row in places], gathering, stations.values())
    refusals = {
        row.volunteer_id: refusal(
            stations[row.station_id], gathering, row.volunteer, known
        )
        or still.get(row.station_id)
        for row in places
    }
    return {key: why for key, why in refusals.items() if why}, still


def _by_name(person: Volunteer) -> tuple[str, int]:
    return person.name.casefold(), person.pk


def _by_letter(gathering: Gathering, known: Collection[int]) -> tuple[Initial, ...]:
    """Return everybody else of the list, by the first letter of their names."""
    people = (
        Volunteer.objects.of(gathering.demonstration).active().with_marks().by_name()
    )
    letters: dict[str, list[Volunteer]] = {}
    for person in sorted(people, key=_by_name):
        if person.pk not in known:
            letters.setdefault(person.name[:1].upper(), []).append(person)
    return tuple(Initial(letter, tuple(rest)) for letter, rest in letters.items())


@dataclass(frozen=True, slots=True)
class StationChoice:
    """A station, how full it is, and why they may not work there, if so."""

    station: Station
    filling: Filling
    refusal: Refusal | None
    is_theirs: bool
    # The words to read to them, where hearing them is all that is missing.
    to_hear: BriefingVersion | None

    @property
    def is_full(self) -> bool:
        """Whether every place is held, and none of them by this person."""
        return not self.is_theirs and self.filling.held >= self.filling.places


@dataclass(frozen=True, slots=True)
class StationsFor:
    """Everything the lead sees of one person at the gate."""

    gathering: Gathering
    volunteer: Volunteer
    row: Turnout | None
    place: SignUp | None
    choices: tuple[StationChoice, ...]
    is_here: bool

    @property
    def station(self) -> Station | None:
        """Where they have a place, if they have one."""
        return self.place.station if self.place and self.place.is_held else None

    @property
    def to_hear(self) -> tuple[BriefingVersion, ...]:
        """Each text once that would open a station to them."""
        versions = {one.to_hear.pk: one.to_hear for one in self.choices if one.to_hear}
        return tuple(versions.values())


def stations_for(
    gathering: Gathering, volunteer: Volunteer, now: datetime
) -> StationsFor:
    """Return where somebody may be put: ten queries at most."""
    stations = list(gathering.stations.with_asked().with_counts())
    known = known_of([volunteer], gathering, stations)
    versions = _versions(stations)
    row = gathering.turnout.by(volunteer).first()
    place = gathering.sign_ups.live().by(volunteer).select_related("station").first()
    held_at = place.station_id if place and place.is_held else None
    still = standing_still(gathering, stations)
    choices = []
    for station in stations:
        why = refusal(station, gathering, volunteer, known) or still.get(station.pk)
        text = versions.get(station.briefing_id or 0)
        choices.append(
            StationChoice(
                station,
                filling_of(station),
                why,
                is_theirs=held_at == station.pk,
                to_hear=text if why and why.needs_briefing else None,
            )
        )
    is_here = row is not None and row.is_here_at(now)
    return StationsFor(gathering, volunteer, row, place, tuple(choices), is_here)


@dataclass(frozen=True, slots=True)
class TurnoutRow:
    """One person on the list: where they were expected, and their times if here."""

    volunteer: Volunteer
    station: str
    arrived_at: datetime | None
    left_at: datetime | None

    @property
    def came(self) -> bool:
        return self.arrived_at is not None

    @property
    def seconds(self) -> int:
        """How long they were there; until they have left nothing is counted."""
        if self.arrived_at is None or self.left_at is None:
            return 0
        return int((self.left_at - self.arrived_at).total_seconds())

    @property
    def hours(self) -> Decimal | None:
        return as_hours(self.seconds) if self.left_at else None


@dataclass(frozen=True, slots=True)
class TurnoutPage:
    """A gathering's list, the head-count, and who may still be written in."""

    gathering: Gathering
    rows: list[TurnoutRow]
    here: list[Volunteer]
    others: list[Volunteer]

    @property
    def came(self) -> int:
        return sum(row.came for row in self.rows)

    @property
    def hours(self) -> Decimal:
        """The hours of all who have left."""
        return as_hours(sum(row.seconds for row in self.rows))

    @property
    def not_left(self) -> int:
        """How many came and have no time of leaving."""
        return sum(row.came and row.left_at is None for row in self.rows)


def as_hours(seconds: int) -> Decimal:
    """Write whole minutes in hours, to a tenth, an exact half going to the even."""
    return Decimal(round(seconds // 60 / 6)).scaleb(-1)


def turnout_page(gathering: Gathering, now: datetime) -> TurnoutPage:
    """Return the list, those signed up and the walk-ins by name: three queries."""
    marks = {row.volunteer_id: row for row in _marks(gathering)}
    expected = {
        row.volunteer_id: row
        for row in gathering.sign_ups.expected().select_related("volunteer", "station")
    }
    everybody = list(Volunteer.objects.of(gathering.demonstration).active().by_name())
    people = {row.volunteer_id: row.volunteer for row in expected.values()}
    people |= {row.volunteer_id: row.volunteer for row in marks.values()}
    rows = [
        _row(
            person,
            expected[person.pk].station.title if person.pk in expected else "",
            marks.get(person.pk),
        )
        for person in sorted(people.values(), key=lambda one: (one.name, one.pk))
    ]
    here = [row.volunteer for row in marks.values() if _is_here(row, now)]
    others = [person for person in everybody if person.pk not in people]
    return TurnoutPage(gathering, rows, here, others)


def _marks(gathering: Gathering) -> list[Turnout]:
    return list(gathering.turnout.select_related("volunteer").by_name())


def _row(person: Volunteer, station: str, mark: Turnout | None) -> TurnoutRow:
    if mark is None:
        return TurnoutRow(person, station, None, None)
    return TurnoutRow(person, station, mark.arrived_at, mark.left_at)


def _is_here(mark: Turnout, now: datetime) -> bool:
    return mark.arrived_at <= now and (mark.left_at is None or mark.left_at > now)


# A station's key, or an age.
Key = TypeVar("Key", int, str)


@dataclass(frozen=True, slots=True)
class PersonStations:
    """Where somebody works, and where they may not, each in a word or two."""

    own: Station | None = None
    # Why they may not begin at their own station yet.
    not_yet: str = ""
    barred: dict[int, str] = field(default_factory=dict)
    # Where they may not even once they have heard every briefing.
    barred_briefed: dict[int, str] = field(default_factory=dict)
    # The versions that hold now and that they have heard.
    heard: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class StationOffer:
    """A station, and why somebody whom nobody knows yet may not work there, by age."""

    station: Station
    barred: dict[str, str]
    barred_briefed: dict[str, str] = field(default_factory=dict)
    # The words to be heard before the work begins, where they are published.
    version: BriefingVersion | None = None


@dataclass(frozen=True, slots=True)
class TonightsStations:
    """Tonight's stations, and where each person stands to them, by their keys."""

    offers: tuple[StationOffer, ...]
    people: dict[int, PersonStations]


def tonights_stations(
    gathering: Gathering, people: Sequence[Volunteer]
) -> TonightsStations:
    """Return who works and may work where: nine queries at most."""
    stations = {row.pk: row for row in gathering.stations.with_asked()}
    held = dict(gathering.sign_ups.held().values_list("volunteer_id", "station_id"))
    known = known_of(people, gathering, stations.values())
    still = standing_still(gathering, stations.values())
    evening = _Evening(gathering, stations, known, still, _versions(stations.values()))
    return TonightsStations(
        offers=tuple(_offer(station, evening) for station in stations.values()),
        people={
            person.pk: _person_stations(
                person, stations.get(held.get(person.pk, 0)), evening
            )
            for person in people
        },
    )


class _Evening(NamedTuple):
    gathering: Gathering
    stations: dict[int, Station]
    known: Known
    # Why nobody works at a station now, by its key.
    still: dict[int, Refusal]
    # The version that holds of each briefing, by the briefing's key.
    versions: dict[int, BriefingVersion]

    def briefed(self, person: Volunteer) -> Known:
        """Return what would be known if somebody had heard every briefing."""
        all_heard = {(person.pk, briefing) for briefing in self.versions}
        return replace(self.known, heard=all_heard)

    def against(
        self, person: Volunteer, station: Station, known: Known
    ) -> Refusal | None:
        no = refusal(station, self.gathering, person, known)
        still = self.still.get(station.pk)
        return no if no and _stays(no) else still or no


def _person_stations(
    person: Volunteer, own: Station | None, evening: _Evening
) -> PersonStations:
    refusals = {
        key: evening.against(person, station, evening.known)
        for key, station in evening.stations.items()
    }
    why = refusals.get(own.pk) if own else None
    briefed = {
        key: evening.against(person, station, evening.briefed(person))
        for key, station in evening.stations.items()
    }
    heard = frozenset(
        version.pk
        for briefing, version in evening.versions.items()
        if (person.pk, briefing) in evening.known.heard
    )
    return PersonStations(
        own, why.short if why else "", _in_words(refusals), _in_words(briefed), heard
    )


def _offer(station: Station, evening: _Evening) -> StationOffer:
    """Say what a station asks that somebody unheard of cannot have."""
    where = evening.gathering.demonstration
    unheard, briefed = {}, {}
    for band in AgeBand:
        person = Volunteer(demonstration=where, age_band=band)
        unheard[band.value] = evening.against(person, station, Known())
        all_heard = Known(heard=evening.briefed(person).heard)
        briefed[band.value] = evening.against(person, station, all_heard)
    version = evening.versions.get(station.briefing_id or 0)
    return StationOffer(station, _in_words(unheard), _in_words(briefed), version)


def _versions(stations: Iterable[Station]) -> dict[int, BriefingVersion]:
    asked = {row.briefing_id for row in stations if row.briefing_id}
    if not asked:
        return {}
    rows = BriefingVersion.objects.current().filter(briefing__in=asked)
    return {row.briefing_id: row for row in rows.select_related("briefing")}


def _in_words(refusals: Mapping[Key, Refusal | None]) -> dict[Key, str]:
    return {key: _short(no) for key, no in refusals.items() if no and _stays(no)}


def _stays(why: Refusal) -> bool:
    """Tell whether a refusal holds also after what the phone has yet to send.

    An adult may have been given a place there since: of a child's the site decides.
    """
    return not (why.needs_adult or why.may_wait)


def _short(why: Refusal) -> str:
    return {
        "briefing": _("to hear first"),
        "machine": why.short,
        "no_briefing": _("no briefing chosen yet"),
        "competence": _("not confirmed for it"),
        "weighing": _("an organiser decides first"),
    }.get(why.code, _("not old enough"))


@dataclass(frozen=True, slots=True)
class Counted:
    """One person who is here, or is to be counted, or was seen."""

    volunteer: Volunteer
    seen: Safe | None
    # Where they were to work: the first place to look.
    station: str = ""
    # A child whose adult has gone home, or has not come.
    is_alone: bool = False

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
    def parts(self) -> list[Part[Counted]]:
        """Who is here in parts by name, while nobody is called out."""
        return parted(self.people, lambda one: one.volunteer.name, opens=False)

    @property
    def missing(self) -> list[Counted]:
        return [one for one in self.people if one.seen is None]

    @property
    def safe(self) -> list[Counted]:
        return [one for one in self.people if one.seen is not None]


def head_count(gathering: Gathering, now: datetime) -> HeadCount:
    """Return everybody who is here, or to be counted: eight queries at the most."""
    musters = list(gathering.musters.newest_first().with_names())
    muster = next((one for one in musters if one.closed_at is None), None)
    return HeadCount(
        gathering=gathering,
        plan=EmergencyPlan.objects.of(gathering.demonstration).first(),
        muster=muster,
        people=_counted(gathering, muster, now),
        expected=gathering.sign_ups.held().not_among(gathering.turnout.all()).count(),
        earlier=tuple(one for one in musters if one.closed_at is not None),
    )


def _counted(
    gathering: Gathering, muster: Muster | None, now: datetime
) -> tuple[Counted, ...]:
    """Return those to be counted, or those here, and those who were seen besides."""
    seen = {row.volunteer_id: row for row in muster.safe.for_page()} if muster else {}
    rows = muster.awaited.all() if muster else gathering.turnout.here_at(now)
    people = {row.volunteer_id: row.volunteer for row in rows.with_people()}
    people |= {key: row.volunteer for key, row in seen.items() if key not in people}
    held = gathering.sign_ups.held().values_list("volunteer_id", "station__title")
    where = dict(held)
    present = set(gathering.turnout.here_at(now).values_list("volunteer", flat=True))
    return tuple(
        Counted(
            person,
            seen.get(person.pk),
            where.get(person.pk, ""),
            is_alone=_is_without_adult(person, present),
        )
        for person in sorted(people.values(), key=_by_name)
    )


def not_seen(muster: Muster) -> list[Volunteer]:
    """Return whom nobody has seen yet of those to be counted, by name."""
    seen = muster.safe.values("volunteer")
    missing = muster.awaited.exclude(volunteer__in=seen).with_people()
    return [row.volunteer for row in missing.order_by("volunteer__name", "pk")]
