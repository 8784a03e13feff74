"""What a station asks of everybody who takes a place there.

Age on the gathering's day, a confirmed competence, a decision for the young and the
briefing are asked however somebody is signed up, and nobody's hand lifts them. An
organiser who knows better writes that down first (a confirmation, a `Weighing`), so
that the record says why. Under 13 somebody has a place only beside the adult who
answers for them. Work over or at the water asks adults and a briefing that names a
danger of the water: one of its hazards is met while treading, or only at the dam where
it names no jobs.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime

from django.utils.translation import gettext as _

from heritage.briefings.models import Acknowledgement, Briefing, BriefingVersion
from heritage.briefings.selectors import heard_pairs, missing_briefings
from heritage.briefings.words import RuleWords, rule_words
from heritage.calc import young_people
from heritage.calc.young_people import ADULT, AgeRule
from heritage.gatherings.models import (
    Gathering,
    SignUp,
    SignUpStatus,
    Station,
    StationKind,
    Weighing,
)
from heritage.growth.selectors import outside_window, pulling_window
from heritage.machines.selectors import guards_missing, how_to_mend, works_stopped
from heritage.people.competences.selectors import able_pairs, first_aiders
from heritage.people.models import AgeBand, HealthNote, Volunteer
from heritage.season.models import Demonstration, Stage


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why somebody may not take a place; ``code`` says what would mend it."""

    reason: str
    code: str = "age"

    @property
    def needs_briefing(self) -> bool:
        return self.code == "briefing"

    @property
    def needs_adult(self) -> bool:
        """Whether the adult who answers for them has no place there, nor a turn."""
        return self.code == "adult"

    @property
    def may_wait(self) -> bool:
        """Whether they may wait for a place, beside an adult who waits too."""
        return self.code == "adult_waits"

    @property
    def short(self) -> str:
        """What holds them up, in a word or two."""
        if self.needs_adult or self.may_wait:
            return _("without their adult")
        if self.code == "machine":
            return _("machine stands still")
        return _("not heard") if self.needs_briefing else _("not at this station")


@dataclass(frozen=True, slots=True)
class Known:
    """What is known of some people on a gathering's day, by their keys.

    Which briefings they have heard, what they can do that an organiser confirmed
    and that is good on the day, what work with machines was weighed for them, and of
    the adults that children come with, how each is signed up.
    """

    heard: set[tuple[int, int]] = field(default_factory=set)
    able: set[tuple[int, int]] = field(default_factory=set)
    weighed: dict[tuple[int, str], bool] = field(default_factory=dict)
    adults: dict[int, str] = field(default_factory=dict)


def known_of(
    people: Iterable[Volunteer], gathering: Gathering, stations: Iterable[Station]
) -> Known:
    """Look up all that the stations may ask of some people: four queries at most."""
    folk, rows = list(people), list(stations)
    day, where = day_of(gathering), gathering.demonstration
    asked = {row.competence_id for row in rows if row.competence_id}
    young = [
        person.pk
        for person in folk
        if any(_is_weighed(row, where, person, day) for row in rows)
    ]
    decisions = Weighing.objects.among(young).holding()
    return Known(
        heard=heard_pairs(folk, [row.briefing for row in rows if row.briefing]),
        able=able_pairs(folk, asked, day),
        weighed={(row.volunteer_id, row.work): row.may for row in decisions},
        adults=_adults_of(folk, gathering),
    )


def _adults_of(people: Iterable[Volunteer], gathering: Gathering) -> dict[int, str]:
    """Return how the adults whom children come with are signed up, by their keys."""
    asked = {person.guardian_id for person in people if person.needs_adult}
    keys = [key for key in asked if key]
    if not keys or gathering.pk is None:
        return {}
    live = gathering.sign_ups.live().by_any(keys)
    return dict(live.values_list("volunteer_id", "status"))


def day_of(gathering: Gathering) -> date:
    """Return the day a gathering begins, where it is held."""
    return gathering.starts_at.astimezone(gathering.demonstration.zone).date()


def age_asked(station: Station, gathering: Gathering) -> tuple[int, AgeRule]:
    """Return the least age of a station: the organiser's or the rules', the greater."""
    where = gathering.demonstration.jurisdiction
    rule = young_people.least_age(where, station.kind)
    if station.work.is_at_water(gathering.stage):
        water = young_people.least_age(where, StationKind.TREAD)
        rule = max(rule, water, key=lambda one: one.least_age)
    return max(AgeBand(station.least_age).least_age, rule.least_age), rule


def age_words(years: int, rule: AgeRule) -> str:
    """Say how old somebody must be, once: by the rules or, if stricter, by us."""
    if years <= rule.least_age:
        return rule_words(rule).reason
    if years >= young_people.ADULT:
        return _("For adults.")
    words = _("Age %d and over.") % years
    if rule.least_age == 0:
        words += " " + _("A child works beside their guardian.")
    return words


def refusal(
    station: Station, gathering: Gathering, volunteer: Volunteer, known: Known
) -> Refusal | None:
    """Say why somebody may not take a place at a station, if they may not.

    Their age is the one they have on the gathering's day, by the date of birth where
    that is kept and otherwise by the youngest age of their band.
    """
    where, day = gathering.demonstration, day_of(gathering)
    return (
        _too_young(station, gathering, volunteer, day)
        or _not_able(station, volunteer, known)
        or _not_weighed(station, where, volunteer, day, known)
        or _no_briefing(station, gathering)
        or _not_briefed(station, volunteer, known)
        or _alone(volunteer, known)
    )


def _too_young(
    station: Station, gathering: Gathering, volunteer: Volunteer, day: date
) -> Refusal | None:
    years, rule = age_asked(station, gathering)
    if volunteer.age_on(day) >= years:
        return None
    own = _("%(station)s is for those of %(years)d and over.") % {
        "station": station.title,
        "years": years,
    }
    return Refusal(rule_words(rule).reason if rule.least_age == years else own)


def _not_able(station: Station, volunteer: Volunteer, known: Known) -> Refusal | None:
    if not station.competence or (volunteer.pk, station.competence_id) in known.able:
        return None
    words = _(
        "%(station)s asks for “%(competence)s”, confirmed by an organiser and good on "
        "the day. If %(who)s can do this, say so under “Me”, and an organiser "
        "confirms it."
    )
    who = {"station": station, "competence": station.competence, "who": volunteer}
    return Refusal(words % who, "competence")


def _is_weighed(
    station: Station, where: Demonstration, volunteer: Volunteer, day: date
) -> bool:
    """Tell whether an organiser first weighs this work for somebody of this age."""
    rule = young_people.least_age(where.jurisdiction, station.kind)
    return volunteer.age_on(day) < rule.review_below


def _not_weighed(
    station: Station,
    where: Demonstration,
    volunteer: Volunteer,
    day: date,
    known: Known,
) -> Refusal | None:
    if not _is_weighed(station, where, volunteer, day):
        return None
    may = known.weighed.get((volunteer.pk, station.kind))
    if may:
        return None
    who = {"station": station, "who": volunteer}
    if may is None:
        words = _(
            "%(station)s: an organiser first decides if %(who)s, under 18, may do "
            "this work. Ask an organiser, who writes down what they decide."
        )
    else:
        words = _(
            "%(station)s: an organiser has decided that this work is not for "
            "%(who)s yet. Choose another station, or speak with an organiser."
        )
    return Refusal(words % who, "weighing")


def _no_briefing(station: Station, gathering: Gathering) -> Refusal | None:
    """Refuse everybody at the water until a briefing is chosen for the station.

    A turn at the treading is no station that is kept: its rota asks the briefing.
    """
    if station.briefing_id or station.pk is None:
        return None
    if not station.work.is_at_water(gathering.stage):
        return None
    words = _(
        "%s is work at the water and has no briefing yet. An organiser chooses one "
        "first, by changing the gathering."
    )
    return Refusal(words % station, "no_briefing")


def _not_briefed(
    station: Station, volunteer: Volunteer, known: Known
) -> Refusal | None:
    briefing = station.briefing
    if briefing is None or (volunteer.pk, briefing.pk) in known.heard:
        return None
    words = _(
        "%(who)s has not heard the briefing “%(briefing)s”. Read it and say so, "
        "then ask for the place."
    )
    return Refusal(words % {"who": volunteer, "briefing": briefing}, "briefing")


def _alone(volunteer: Volunteer, known: Known) -> Refusal | None:
    """Refuse a child whose adult has no place: it moves up with them, or not at all."""
    if not volunteer.needs_adult:
        return None
    state = known.adults.get(volunteer.guardian_id or 0)
    if state == SignUpStatus.HELD:
        return None
    who = {"who": volunteer, "adult": volunteer.guardian}
    if state == SignUpStatus.WAITING:
        words = _(
            "%(who)s is under 13 and moves up together with %(adult)s, who is on the "
            "waiting list."
        )
        return Refusal(words % who, "adult_waits")
    words = _(
        "%(who)s is under 13 and needs %(adult)s there too. First give %(adult)s a "
        "place, or sign both up together."
    )
    return Refusal(words % who, "adult")


def standing_still(
    gathering: Gathering, stations: Iterable[Station]
) -> dict[int, Refusal]:
    """Say of each station at a machine why nobody works there on the day, by its key.

    Three queries, none where no station is at a machine.
    """
    rows = list(stations)
    why = works_stopped(
        gathering.demonstration,
        gathering.starts_at,
        gathering.stage,
        [row.kind for row in rows],
    )
    return {
        row.pk: Refusal(f"{why[row.kind]} {how_to_mend()}", "machine")
        for row in rows
        if row.kind in why
    }


def machine_warnings(
    gathering: Gathering, stations: Iterable[Station], now: datetime
) -> list[str]:
    """Say which stations no one can work at yet for want of a guard.

    On the day that is whatever was not seen in its place; before, what was missing
    when the machine was last looked at. Nothing of a gathering that is over.
    """
    rows = list(stations) if gathering.ends_at > now else []
    works = [row.kind for row in rows]
    where, stage = gathering.demonstration, gathering.stage
    if _is_today(gathering, now):
        why = works_stopped(where, now, stage, works)
    else:
        why = guards_missing(where, stage, works)
    by_reason: dict[str, list[str]] = {}
    for row in rows:
        if row.kind in why:
            by_reason.setdefault(why[row.kind], []).append(row.title)
    return [
        _("%(stations)s: %(why)s %(mend)s")
        % {"stations": ", ".join(titles), "why": words, "mend": how_to_mend()}
        for words, titles in by_reason.items()
    ]


def crop_warnings(gathering: Gathering) -> list[str]:
    """Say that the crop is not likely to be ready on the day, where it is pulled."""
    if gathering.stage != Stage.PULLING:
        return []
    day = gathering.starts_at.astimezone(gathering.demonstration.zone).date()
    window = pulling_window(gathering.demonstration, gathering.plot)
    words = outside_window(window, day)
    return [words] if words else []


def is_barred_today(gathering: Gathering, works: Iterable[str], now: datetime) -> str:
    """Say why a gathering of today may not be posted: a guard was found missing."""
    if not _is_today(gathering, now):
        return ""
    where, stage = gathering.demonstration, gathering.stage
    asked = list(works)
    missing = guards_missing(where, stage, asked)
    still = works_stopped(where, now, stage, asked)
    return " ".join(dict.fromkeys(missing[work] for work in missing if work in still))


def _is_today(gathering: Gathering, now: datetime) -> bool:
    return day_of(gathering) == now.astimezone(gathering.demonstration.zone).date()


@dataclass(frozen=True, slots=True)
class YoungPerson:
    """Somebody under 18, what was decided for them, and places against it."""

    volunteer: Volunteer
    decisions: tuple[Weighing, ...]
    places_against: tuple[SignUp, ...]


@dataclass(frozen=True, slots=True)
class WeighingPage:
    """Who may be weighed for what, and every decision that holds."""

    rule: RuleWords | None
    works: tuple[StationKind, ...]
    people: tuple[YoungPerson, ...]

    @property
    def undecided(self) -> int:
        """How many have no decision on any work yet."""
        return sum(not one.decisions for one in self.people)


def works_to_weigh(demonstration: Demonstration) -> tuple[StationKind, ...]:
    """Return the kinds of work an organiser weighs for the young, by whose rules."""
    place = demonstration.jurisdiction
    return tuple(
        kind for kind in StationKind if young_people.least_age(place, kind).review_below
    )


def old_enough_to_weigh(demonstration: Demonstration) -> int:
    """Return the age under which no decision opens the machines."""
    place = demonstration.jurisdiction
    ages = [
        young_people.least_age(place, kind).least_age
        for kind in works_to_weigh(demonstration)
    ]
    return min(ages, default=ADULT)


def young_people_of(demonstration: Demonstration, now: datetime) -> list[Volunteer]:
    """Return those whose work may be weighed, by name: one query.

    Somebody a year too young is among them: they may be old enough by the evening.
    """
    day = now.astimezone(demonstration.zone).date()
    least = old_enough_to_weigh(demonstration) - 1
    rows = Volunteer.objects.of(demonstration).active().minors()
    folk = rows.select_related("guardian").by_name()
    return [person for person in folk if least <= person.age_on(day) < ADULT]


def weighing_page(demonstration: Demonstration, now: datetime) -> WeighingPage:
    """List the young people with what was decided for each: three queries."""
    works = works_to_weigh(demonstration)
    folk = young_people_of(demonstration, now)
    keys = [person.pk for person in folk]
    decisions = list(Weighing.objects.among(keys).holding().newest_first())
    refused = {(row.volunteer_id, row.work) for row in decisions if not row.may}
    places = SignUp.objects.live().to_come(now).at_work(keys, works)
    against = [row for row in places if (row.volunteer_id, row.station.kind) in refused]
    place = demonstration.jurisdiction
    return WeighingPage(
        rule=(rule_words(young_people.least_age(place, works[0])) if works else None),
        works=works,
        people=tuple(
            YoungPerson(
                person,
                tuple(row for row in decisions if row.volunteer_id == person.pk),
                tuple(row for row in against if row.volunteer_id == person.pk),
            )
            for person in folk
        ),
    )


def first_aid_warnings(gathering: Gathering) -> list[str]:
    """Say what is not right about a gathering's first-aider: two queries at most."""
    chosen = gathering.first_aider
    if chosen is None:
        return [_("No first-aider is chosen. Choose one before people come.")]
    warnings = []
    if chosen not in first_aiders(gathering.demonstration, day_of(gathering)):
        warnings.append(
            _("%s's first aid is not confirmed, or runs out before the day.") % chosen
        )
    if chosen.pk == gathering.lead_id:
        warnings.append(
            _("%s is lead and first-aider. A first-aider has no other duty.") % chosen
        )
    if gathering.sign_ups.held().by(chosen).exists():
        warnings.append(
            _("%s has a place at a station too. A first-aider has no other duty.")
            % chosen
        )
    return warnings


def possible_first_aiders(
    demonstration: Demonstration, day: date, chosen: Volunteer | None
) -> list[Volunteer]:
    """Return whom a form offers: those good on a day, and who is chosen."""
    able = first_aiders(demonstration, day)
    return able if chosen is None or chosen in able else [*able, chosen]


@dataclass(frozen=True, slots=True)
class ToCall:
    """Somebody at the gathering, and whom to call for them."""

    volunteer: Volunteer
    has_come: bool
    note: str = ""

    @property
    def contacts(self) -> list[tuple[str, str]]:
        """Whom to call and their number: as named, and a child's guardian too."""
        person, contacts = self.volunteer, []
        if person.emergency_phone:
            contacts.append((person.emergency_name, person.emergency_phone))
        guardian = person.guardian
        if guardian and guardian.phone:
            contacts.append((guardian.name, guardian.phone))
        if guardian and guardian.emergency_phone and not contacts:
            contacts.append((guardian.emergency_name, guardian.emergency_phone))
        return contacts


@dataclass(frozen=True, slots=True)
class EmergencyPage:
    """Everybody signed up or there, by name; with notes only for a first-aider."""

    gathering: Gathering
    people: tuple[ToCall, ...]

    @property
    def with_notes(self) -> list[ToCall]:
        """Those a first-aider should know something of."""
        return [one for one in self.people if one.note]


def emergency_page(gathering: Gathering) -> EmergencyPage:
    """List whom to call for everybody at a gathering, and no note: three queries."""
    here, came = _people(gathering)
    return EmergencyPage(gathering, _lines(here, came, {}))


def first_aid_page(gathering: Gathering, now: datetime) -> EmergencyPage:
    """List whom to call and the notes that may be read: four queries.

    The asker's right is the view's to settle, by ``Gathering.first_aid_by``.
    """
    here, came = _people(gathering)
    day = now.astimezone(gathering.demonstration.zone).date()
    notes = _notes((person.pk for person in here), day)
    return EmergencyPage(gathering, _lines(here, came, notes))


def _people(gathering: Gathering) -> tuple[list[Volunteer], set[int]]:
    """Return those with a place or who came, by name, and the keys of who came."""
    came = set(gathering.turnout.values_list("volunteer_id", flat=True))
    held = set(gathering.sign_ups.held().values_list("volunteer_id", flat=True))
    rows = Volunteer.objects.of_keys(sorted(came | held))
    return list(rows.select_related("guardian").by_name()), came


def _lines(
    people: list[Volunteer], came: set[int], notes: dict[int, str]
) -> tuple[ToCall, ...]:
    return tuple(
        ToCall(person, person.pk in came, notes.get(person.pk, "")) for person in people
    )


def _notes(people: Iterable[int], day: date) -> dict[int, str]:
    rows = HealthNote.objects.about(people).readable(day)
    return dict(rows.values_list("volunteer_id", "text"))


@dataclass(frozen=True, slots=True)
class YetToHear:
    """Somebody who has a place and has yet to hear its briefing."""

    volunteer: Volunteer
    station: Station
    is_again: bool


@dataclass(frozen=True, slots=True)
class BriefingHeard:
    """One briefing that the gathering's stations ask for."""

    briefing: Briefing
    version: BriefingVersion | None
    heard: tuple[Volunteer, ...]
    left: tuple[YetToHear, ...]


@dataclass(frozen=True, slots=True)
class Unplaced:
    """Somebody who came without a place, and what they have not heard."""

    volunteer: Volunteer
    missing: tuple[Briefing, ...]


@dataclass(frozen=True, slots=True)
class BriefedPage:
    """All that a lead needs to know before the work begins."""

    gathering: Gathering
    told: tuple[BriefingHeard, ...]
    unplaced: tuple[Unplaced, ...]

    @property
    def left(self) -> int:
        """How many places are held by somebody who has not heard."""
        return sum(len(one.left) for one in self.told)

    @property
    def has_heard(self) -> bool:
        """Whether anybody with a place has heard what it asks for."""
        return any(one.heard for one in self.told)


def briefed_page(gathering: Gathering) -> BriefedPage:
    """Return who is left, by briefing: six queries, however many they are."""
    rows = gathering.stations.select_related("briefing").in_order()
    stations = {row.pk: row for row in rows if row.briefing}
    briefings = {row.briefing.pk: row.briefing for row in rows if row.briefing}
    places = list(gathering.sign_ups.held().for_page())
    people = {row.volunteer_id: row.volunteer for row in places}
    versions = BriefingVersion.objects.current().filter(briefing__in=briefings)
    newest = {version.briefing_id: version for version in versions}
    evening = _Briefed(
        placed=[
            (row.volunteer, stations[row.station_id])
            for row in places
            if row.station_id in stations
        ],
        heard=heard_pairs(people.values(), briefings.values()),
        before=_heard_before(people, briefings),
    )
    came = [row.volunteer for row in gathering.turnout.with_people()]
    loose = [person for person in came if person.pk not in people]
    missing = missing_briefings(loose, briefings.values())
    return BriefedPage(
        gathering,
        tuple(evening.of(one, newest.get(one.pk)) for one in briefings.values()),
        tuple(Unplaced(one, missing[one.pk]) for one in loose if missing[one.pk]),
    )


@dataclass(frozen=True, slots=True)
class _Briefed:
    """Who has a place that asks a briefing, and who heard which, now or before."""

    placed: list[tuple[Volunteer, Station]]
    heard: set[tuple[int, int]]
    before: set[tuple[int, int]]

    def of(self, briefing: Briefing, version: BriefingVersion | None) -> BriefingHeard:
        """Return who has heard one briefing, and who is left."""
        there = [one for one in self.placed if one[1].briefing_id == briefing.pk]
        there.sort(key=lambda pair: pair[0].name)
        return BriefingHeard(
            briefing,
            version,
            tuple(who for who, _ in there if (who.pk, briefing.pk) in self.heard),
            tuple(
                YetToHear(who, station, (who.pk, briefing.pk) in self.before)
                for who, station in there
                if (who.pk, briefing.pk) not in self.heard
            ),
        )


def _heard_before(
    people: Iterable[int], briefings: Iterable[int]
) -> set[tuple[int, int]]:
    """Return who heard which briefing in words that hold no more, by their keys."""
    rows = Acknowledgement.objects.void().filter(
        volunteer__in=people, version__briefing__in=briefings
    )
    return set(rows.values_list("volunteer_id", "version__briefing_id"))
