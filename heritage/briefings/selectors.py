"""A briefing's words, and each page and sheet about it as one frozen answer.

Hospital, grid reference, kits and the like are written once, in the emergency plan; a
changed plan makes a briefing differ from its version, so it is published and heard
again. A part that an old version did not know changes nothing while it is empty.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Final

from django.utils.formats import date_format
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from heritage.briefings.models import (
    Acknowledgement,
    Briefing,
    BriefingVersion,
    EmergencyPlan,
    FirstAidPoint,
    Hazard,
    stations_asking,
    turns_asking,
)
from heritage.briefings.words import HARD_TO_READ, rule_words
from heritage.calc import young_people
from heritage.calc.readability import Reading, reading, warnings
from heritage.calc.risk import Severity, needs_named_person
from heritage.common.words import in_words
from heritage.people.models import Volunteer
from heritage.season.models import Demonstration


def heard_pairs(
    volunteers: Iterable[Volunteer], briefings: Iterable[Briefing]
) -> set[tuple[int, int]]:
    """Return (volunteer key, briefing key) wherever the current version was heard."""
    heard = Acknowledgement.objects.holding().filter(
        volunteer__in=[person.pk for person in volunteers],
        version__briefing__in=[briefing.pk for briefing in briefings],
    )
    return set(heard.values_list("volunteer_id", "version__briefing_id"))


def missing_briefings(
    volunteers: Iterable[Volunteer], briefings: Iterable[Briefing]
) -> dict[int, tuple[Briefing, ...]]:
    """Say for each volunteer, by key, which of the briefings they have yet to hear.

    A briefing that was never published cannot have been heard, so it is missing.
    """
    people, asked = list(volunteers), list(briefings)
    heard = heard_pairs(people, asked)
    return {
        person.pk: tuple(one for one in asked if (person.pk, one.pk) not in heard)
        for person in people
    }


PARTS: Final[tuple[tuple[str, str | Promise], ...]] = (
    ("plan", gettext_lazy("Today's plan")),
    ("in_charge", gettext_lazy("In charge")),
    ("stop_signal", gettext_lazy("Stop signal: anybody may give it")),
    ("no_go", gettext_lazy("Keep out")),
    ("machine_stop", gettext_lazy("Stopping the machines")),
    ("lifting", gettext_lazy("Lifting")),
    ("clothing", gettext_lazy("Wear")),
    ("weather", gettext_lazy("Weather")),
    ("not_for", gettext_lazy("Who shouldn't do this")),
    ("first_aid", gettext_lazy("First aid")),
    ("aed", gettext_lazy("Defibrillator (AED)")),
    ("hospital", gettext_lazy("Nearest hospital")),
    ("emergency", gettext_lazy("In an emergency")),
    ("grid_reference", gettext_lazy("Grid reference")),
    ("assembly_point", gettext_lazy("Meeting point")),
    ("lost_child", gettext_lazy("A lost child")),
    ("welfare", gettext_lazy("Water, shade, toilets")),
    ("photos", gettext_lazy("Photographs")),
)
FIELDS: Final = ("title", "task", "short", *(name for name, _label in PARTS))
# What a briefing leaves open, the emergency plan answers under another name.
PLANNED: Final = {
    "machine_stop": "machine_stop",
    "aed": "aed",
    "hospital": "hospital",
    "grid_reference": "grid_reference",
    "assembly_point": "meeting_point",
    "lost_child": "lost_child",
}


def planned_parts(demonstration: Demonstration) -> dict[str, str]:
    """Return what the emergency plan says of a briefing's parts: two queries."""
    plan = EmergencyPlan.objects.of(demonstration).first()
    points = FirstAidPoint.objects.of(demonstration).in_order()
    kits = [f"{one.place}: {one.holds}" if one.holds else one.place for one in points]
    parts = {"first_aid": "; ".join(kits)}
    if plan:
        parts |= {name: getattr(plan, field) for name, field in PLANNED.items()}
        help_words = [plan.calls, plan.number, plan.way_in]
        parts["emergency"] = "; ".join(words for words in help_words if words)
    return {name: words for name, words in parts.items() if words.strip()}


def filled_parts(briefing: Briefing, planned: Mapping[str, str]) -> dict[str, str]:
    """Return a briefing's own words, the plan's where it leaves a part open."""
    return {
        name: getattr(briefing, name).strip() or planned.get(name, "")
        for name in FIELDS
    }


def parts_of(content: Mapping[str, Any]) -> list[tuple[str, str]]:
    """Return the parts that a briefing's words fill, with their labels."""
    return [(str(label), content[name]) for name, label in PARTS if content.get(name)]


def short_of(content: Mapping[str, Any]) -> list[str]:
    """Return the lines of a briefing's short form, none where it has none."""
    lines = (line.strip() for line in content.get("short", "").splitlines())
    return [line for line in lines if line]


def open_parts(content: Mapping[str, Any]) -> list[str]:
    """Return the labels of the parts that nobody has filled in yet.

    Those who hear the briefing are told to ask for them, so none goes unmentioned.
    """
    return [str(label) for name, label in PARTS if not content.get(name)]


def words_of(briefing: Briefing) -> dict[str, Any]:
    """Compose what a version of the briefing would say today."""
    hazards = briefing.hazards.worst_first().with_controls()
    return _composed(briefing, list(hazards), planned_parts(briefing.demonstration))


def has_changed(briefing: Briefing, current: BriefingVersion | None) -> bool:
    """Tell whether publishing now would say anything new."""
    return current is None or _filled(current.content) != _filled(words_of(briefing))


def changed_briefings(demonstration: Demonstration) -> frozenset[int]:
    """Return the keys of the published briefings that would say something new today.

    A hazard or the emergency plan may have been changed since; six queries, however
    many briefings there are.
    """
    versions = BriefingVersion.objects.of(demonstration).current()
    current = {version.briefing_id: version.content for version in versions}
    planned = planned_parts(demonstration)
    rows = Briefing.objects.of(demonstration).select_related("demonstration")
    return frozenset(
        one.pk
        for one in rows.with_hazards()
        if one.pk in current
        and _filled(current[one.pk])
        != _filled(_composed(one, list(one.hazards.all()), planned))
    )


def _composed(
    briefing: Briefing, hazards: Sequence[Hazard], planned: Mapping[str, str]
) -> dict[str, Any]:
    place = briefing.demonstration.jurisdiction
    return {
        **filled_parts(briefing, planned),
        "hazards": [_hazard(hazard) for hazard in hazards],
        "cautions": [_caution(hazard) for hazard in hazards if hazard.caution],
        "stop_rules": stop_rules(),
        "jurisdiction": briefing.demonstration.get_jurisdiction_display(),
        "young_people": [rule_words(rule).reason for rule in young_people.rules(place)],
    }


def _filled(content: dict[str, Any]) -> dict[str, Any]:
    """Leave out what is not filled in: a part that came later changes nothing."""
    return {name: value for name, value in content.items() if value}


def reasons_not_to_publish(briefing: Briefing, day: date) -> list[str]:
    """Say in plain words why a briefing may not be published today, if it may not."""
    reasons = []
    hazards = list(briefing.hazards.worst_first().with_controls())
    if not briefing.in_charge.strip():
        reasons.append(_("Nobody is in charge. Enter who is."))
    if not hazards:
        reasons.append(_("No hazards yet. Choose what can hurt somebody here."))
    for hazard in hazards:
        reasons += _reasons_of(hazard, day)
    return reasons


def _reasons_of(hazard: Hazard, day: date) -> list[str]:
    reasons = []
    if lacks_named_person(hazard.severity, hazard.controller):
        reasons.append(_("“%s” can kill. Name somebody to look after it.") % hazard)
    if not hazard.controls.all():
        reasons.append(_("“%s” has no controls. Say what you do about it.") % hazard)
    if hazard.review_on and is_overdue(hazard, day):
        reasons.append(
            _("“%(hazard)s” was due for a check by %(day)s. Check it first.")
            % {"hazard": hazard, "day": date_format(hazard.review_on, "j F Y")}
        )
    return reasons


def is_overdue(hazard: Hazard, day: date) -> bool:
    """Tell whether the day on which to look at a hazard again is past."""
    return hazard.review_on is not None and hazard.review_on < day


def lacks_named_person(severity: int, controller: str) -> bool:
    """Tell whether a hazard could kill and nobody is named who sees to it."""
    return needs_named_person(Severity(severity)) and not controller.strip()


def _hazard(hazard: Hazard) -> dict[str, Any]:
    return {
        "title": hazard.title,
        "harm": hazard.harm,
        "where": hazard.where,
        "severity": hazard.severity,
        "likelihood": hazard.likelihood,
        "severity_after": hazard.severity_after,
        "likelihood_after": hazard.likelihood_after,
        "controller": hazard.controller,
        "controls": [control.text for control in hazard.controls.all()],
    }


def _caution(hazard: Hazard) -> dict[str, str]:
    return {"mark": hazard.mark, "heading": hazard.title, "text": hazard.caution}


def stop_rules() -> list[str]:
    """Return when the work stops, in the words of every outdoor sheet."""
    return [
        _("Anybody may call stop. Everybody stops at once."),
        _(
            "If thunder follows lightning within 30 seconds, stop and take cover in a "
            "solid building or a car, never under trees. Start again 30 minutes after "
            "the last thunder."
        ),
        _("Machine work and dam work end by sunset."),
        _("At “everybody out”, go to the meeting point and stay there to be counted."),
    ]


@dataclass(frozen=True, slots=True)
class Ease:
    """A briefing's reading grade in words, and what would make it easier."""

    read: Reading
    warnings: tuple[str, ...]

    @property
    def words(self) -> str:
        """The grade and the length of its sentences."""
        words = _("Reading grade %(grade).1f; sentences average %(words).0f words.")
        return words % {
            "grade": self.read.grade,
            "words": self.read.words_per_sentence,
        }


def ease_of(content: Mapping[str, Any]) -> Ease | None:
    """Return how hard the words of a briefing are to read; None without words."""
    hazards = content.get("hazards", [])
    most = max([len(hazard["controls"]) for hazard in hazards], default=0)
    most = max(most, len(content.get("stop_rules", [])))
    return ease_of_lines(_lines(content), most)


def ease_of_lines(lines: Iterable[str], most: int = 0) -> Ease | None:
    """Return how hard some lines are to read, with at most ``most`` points a card."""
    text = "\n".join(lines)
    grade = reading(text)
    hard = tuple(in_words(one, HARD_TO_READ) for one in warnings(text, most))
    return Ease(grade, hard) if grade else None


def _lines(content: Mapping[str, Any]) -> Iterator[str]:
    yield from (content[name] for name in FIELDS if content.get(name))
    yield from (caution["text"] for caution in content.get("cautions", []))
    yield from content.get("stop_rules", [])
    for hazard in content.get("hazards", []):
        yield from (hazard["title"], hazard["harm"], *hazard["controls"])


@dataclass(frozen=True, slots=True)
class BriefingLine:
    """One briefing in the list: its version, and whether the reader heard it.

    ``is_changed`` tells an organiser that it would say something else today.
    """

    briefing: Briefing
    version: int | None
    is_heard: bool
    is_changed: bool = False


@dataclass(frozen=True, slots=True)
class Hearer:
    """Somebody a reader may acknowledge for, and whether that is done."""

    volunteer: Volunteer
    is_self: bool
    is_heard: bool


@dataclass(frozen=True, slots=True)
class Worded:
    """A briefing's words, with their parts and how hard they are to read."""

    words: dict[str, Any]

    @property
    def parts(self) -> list[tuple[str, str]]:
        """The fixed parts that are filled in, with their labels."""
        return parts_of(self.words)

    @property
    def short(self) -> list[str]:
        """The lines of the short form; the whole stands behind them."""
        return short_of(self.words)

    @property
    def open_parts(self) -> list[str]:
        """The parts that are left open, to be asked for."""
        return open_parts(self.words)

    @property
    def ease(self) -> Ease | None:
        """How hard the words are to read."""
        return ease_of(self.words)


@dataclass(frozen=True, slots=True)
class BriefingPage(Worded):
    """A briefing's current words, and the people the reader answers for.

    ``version`` is None before the first is published; then there are no words.
    """

    briefing: Briefing
    version: BriefingVersion | None
    hearers: tuple[Hearer, ...]


@dataclass(frozen=True, slots=True)
class TickList:
    """Who has heard a briefing's current version, who has not, who must again."""

    briefing: Briefing
    version: BriefingVersion | None
    heard: tuple[Acknowledgement, ...]
    waiting: tuple[Volunteer, ...]
    again: frozenset[int]

    @property
    def version_number(self) -> int:
        """The version that holds, or 0 before the first."""
        return self.version.number if self.version else 0

    @property
    def to_hear_again(self) -> tuple[Volunteer, ...]:
        """Those whose acknowledgement is void because the briefing changed."""
        return tuple(person for person in self.waiting if person.pk in self.again)


@dataclass(frozen=True, slots=True)
class BriefingSheet:
    """A published briefing as it goes on paper."""

    demonstration: Demonstration
    words: dict[str, Any]
    number: int
    published_at: datetime


def briefing_lines(
    demonstration: Demonstration, volunteer: Volunteer | None, *, with_drafts: bool
) -> tuple[BriefingLine, ...]:
    """List a demonstration's briefings, unpublished ones for an organiser only."""
    briefings = list(Briefing.objects.of(demonstration).by_title())
    numbers = dict(
        BriefingVersion.objects.of(demonstration)
        .current()
        .values_list("briefing_id", "number")
    )
    me = [volunteer] if volunteer else []
    heard = {briefing for _, briefing in heard_pairs(me, briefings)}
    changed = changed_briefings(demonstration) if with_drafts else frozenset()
    return tuple(
        BriefingLine(one, numbers.get(one.pk), one.pk in heard, one.pk in changed)
        for one in briefings
        if with_drafts or one.pk in numbers
    )


def current_version(briefing: Briefing) -> BriefingVersion | None:
    """Return the version that holds, or None before the first is published."""
    return briefing.versions.order_by("-number").first()


def briefing_page(briefing: Briefing, volunteer: Volunteer | None) -> BriefingPage:
    """Show a briefing's current version to somebody who is to hear it."""
    people: Sequence[Volunteer] = ()
    if volunteer:
        mine = Volunteer.objects.active().answered_for_by(volunteer).by_name()
        people = sorted(mine, key=lambda person: person.pk != volunteer.pk)
    heard = heard_pairs(people, [briefing])
    hearers = tuple(
        Hearer(person, person == volunteer, (person.pk, briefing.pk) in heard)
        for person in people
    )
    version = current_version(briefing)
    words = dict(version.content) if version else {}
    return BriefingPage(words, briefing, version, hearers)


def tick_list(briefing: Briefing) -> TickList:
    """Show who has heard a briefing and who is left."""
    version = current_version(briefing)
    rows = Volunteer.objects.of(briefing.demonstration).active().by_name()
    everybody = rows.select_related("user", "guardian__user")
    told = Acknowledgement.objects.filter(version__briefing=briefing)
    heard = tuple(
        told.holding()
        .select_related("volunteer", "recorded_by")
        .order_by("volunteer__name", "pk")
    )
    done = {tick.volunteer_id for tick in heard}
    waiting = tuple(person for person in everybody if person.pk not in done)
    again = frozenset(told.void().values_list("volunteer_id", flat=True))
    return TickList(briefing, version, heard, waiting, again)


def briefing_sheet(version: BriefingVersion) -> BriefingSheet:
    """Gather a published version for the printer."""
    demonstration = version.briefing.demonstration
    return BriefingSheet(
        demonstration, version.content, version.number, version.published_at
    )


@dataclass(frozen=True, slots=True)
class PlaceAsking:
    """The first gathering or treading at which somebody needs a briefing."""

    gathering: str
    station: str
    starts_at: datetime


@dataclass(frozen=True, slots=True)
class Voided:
    """Somebody whose hearing no longer counts, and where they need it next."""

    volunteer: Volunteer
    place: PlaceAsking | None


def places_asking(briefing: Briefing, now: datetime) -> dict[int, PlaceAsking]:
    """Say by volunteer which place held, or turn at the dam, asks for it next."""
    rows = [*stations_asking(briefing, now), *turns_asking(briefing, now)]
    soonest: dict[int, PlaceAsking] = {}
    for person, gathering, station, starts_at in sorted(rows, key=lambda row: row[3]):
        soonest.setdefault(person, PlaceAsking(gathering, station, starts_at))
    return soonest


def voided_by(version: BriefingVersion, now: datetime) -> list[Voided]:
    """Return those who had heard the version that this one took the place of."""
    rows = Volunteer.objects.active().filter(
        acknowledgements__version__briefing=version.briefing_id,
        acknowledgements__version__number=version.number - 1,
    )
    people = rows.select_related("user", "guardian__user").by_name()
    return list(voided(people, version.briefing, now))


def voided(
    people: Iterable[Volunteer], briefing: Briefing, now: datetime
) -> tuple[Voided, ...]:
    """Say of each who must hear a briefing again where they need it, soonest first."""
    places = places_asking(briefing, now)
    rows = [Voided(person, places.get(person.pk)) for person in people]
    return tuple(sorted(rows, key=_soonest_first))


def _soonest_first(one: Voided) -> tuple[bool, str, str]:
    when = one.place.starts_at.isoformat() if one.place else ""
    return one.place is None, when, one.volunteer.name


@dataclass(frozen=True, slots=True)
class PublishPage(Worded):
    """What would be published of a briefing, whom it concerns, and why it may not be.

    ``voided`` are those whose hearing would count no longer.
    """

    briefing: Briefing
    ticks: TickList
    voided: tuple[Voided, ...]
    reasons: tuple[str, ...]
    is_changed: bool


def publish_page(briefing: Briefing, now: datetime) -> PublishPage:
    """Show what would be published of a briefing now, and whether it may be."""
    ticks = tick_list(briefing)
    heard = [tick.volunteer for tick in ticks.heard]
    day = now.astimezone(briefing.demonstration.zone).date()
    return PublishPage(
        briefing=briefing,
        ticks=ticks,
        words=words_of(briefing),
        voided=voided(heard, briefing, now),
        reasons=tuple(reasons_not_to_publish(briefing, day)),
        is_changed=has_changed(briefing, ticks.version),
    )
