"""What a station asks of whoever takes a place there."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date

from django.utils.translation import gettext as _

from heritage.calc import young_people
from heritage.calc.young_people import AgeRule
from heritage.gatherings.models import (
    Gathering,
    SignUpStatus,
    Station,
    StationKind,
    Weighing,
)
from heritage.people.models import AgeBand, Volunteer
from heritage.people.selectors import able_pairs
from heritage.safety.selectors import heard_pairs
from heritage.season.models import Demonstration


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
        return rule.reason
    if years >= young_people.ADULT:
        return _("For adults.")
    words = _("From %d years.") % years
    if rule.least_age == 0:
        words += " " + _("A child works beside the adult who answers for them.")
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
    return Refusal(rule.reason if rule.least_age == years else own)


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
            "%(station)s: an organiser first weighs whether %(who)s, under 18, may do "
            "this work. Ask an organiser, who writes down what they decide."
        )
    else:
        words = _(
            "%(station)s: an organiser has weighed it, and this work is not for "
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
