"""The hazards of the ground, judged before and after what is done about them."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from django.core.exceptions import FieldDoesNotExist
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from heritage.briefings.models import (
    Briefing,
    Hazard,
    HazardChange,
    HazardQuerySet,
    Mark,
)
from heritage.briefings.selectors import is_overdue, lacks_named_person
from heritage.briefings.words import RuleWords, rule_words
from heritage.calc import young_people
from heritage.calc.risk import Likelihood, RiskBand, Severity, band
from heritage.season.models import Demonstration, Stage

SEVERITY_WORDS: dict[int, str | Promise] = {
    1: gettext_lazy("a graze"),
    2: gettext_lazy("first aid"),
    3: gettext_lazy("a doctor"),
    4: gettext_lazy("hospital"),
    5: gettext_lazy("death"),
}
LIKELIHOOD_WORDS: dict[int, str | Promise] = {
    1: gettext_lazy("very unlikely"),
    2: gettext_lazy("unlikely"),
    3: gettext_lazy("possible"),
    4: gettext_lazy("likely"),
    5: gettext_lazy("almost certain"),
}
BAND_WORDS: dict[RiskBand, str | Promise] = {
    RiskBand.TRIVIAL: gettext_lazy("low"),
    RiskBand.REDUCE: gettext_lazy("medium"),
    RiskBand.INTOLERABLE: gettext_lazy("too high"),
}


# Each band has its own shape beside its words, so colour says nothing alone.
BAND_TAGS: dict[RiskBand, str] = {
    RiskBand.TRIVIAL: "tag-planned",
    RiskBand.REDUCE: "tag-hold",
    RiskBand.INTOLERABLE: "tag-off",
}
AN_OPINION = gettext_lazy(
    "A grade is an opinion in numbers. A low one never means you can drop a precaution."
)
BAND_SOURCE = gettext_lazy(
    "How bad times how likely: below 4 low, above 12 too high. This is one common way; "
    "no standard fixes it. What can kill needs a named person, however low its grade."
)


@dataclass(frozen=True, slots=True)
class Judgement:
    """One judgement of a hazard, its two grades kept apart, in words."""

    severity: int
    likelihood: int

    @property
    def severity_words(self) -> str:
        """How bad it would be."""
        return f"{self.severity}, {SEVERITY_WORDS[self.severity]}"

    @property
    def likelihood_words(self) -> str:
        """How likely it is."""
        return f"{self.likelihood}, {LIKELIHOOD_WORDS[self.likelihood]}"

    @property
    def product(self) -> int:
        """The two together, of 25."""
        return self.severity * self.likelihood

    @property
    def band(self) -> RiskBand:
        """The band that the two together fall into."""
        return band(Severity(self.severity), Likelihood(self.likelihood))

    @property
    def band_words(self) -> str:
        """What the two together ask for."""
        return str(BAND_WORDS[self.band])

    @property
    def tag(self) -> str:
        """The shape shown beside the words."""
        return BAND_TAGS[self.band]


def band_table() -> list[tuple[str, list[Judgement]]]:
    """Return the table of bands: a row for each severity, the worst first."""
    return [
        (
            Judgement(severity, 1).severity_words,
            [Judgement(severity, likely) for likely in LIKELIHOOD_WORDS],
        )
        for severity in sorted(SEVERITY_WORDS, reverse=True)
    ]


# Nobody rides along, so riding is no station.
WORK_WORDS: Final[dict[str, str | Promise]] = {
    "pull": gettext_lazy("pull"),
    "tie": gettext_lazy("tie"),
    "lay_bands": gettext_lazy("lay bands"),
    "drive": gettext_lazy("drive"),
    "feed": gettext_lazy("feed the puller"),
    "lift_off": gettext_lazy("lift off"),
    "fork": gettext_lazy("fork"),
    "stone": gettext_lazy("lay stones"),
    "tread": gettext_lazy("tread"),
    "steward": gettext_lazy("steward"),
    "talk": gettext_lazy("talk to visitors"),
    "other": gettext_lazy("other work"),
}


def is_met_at(
    hazard: Hazard, stages: Sequence[str] = (), works: Sequence[str] = ()
) -> bool:
    """Tell whether a hazard is met at any of the stages or stations asked about.

    A hazard that names no stage is met at them all; so with stations. Asking about
    none leaves nothing out.
    """
    at_stage = not stages or not hazard.stages or set(stages) & set(hazard.stages)
    at_work = not works or not hazard.works or set(works) & set(hazard.works)
    return bool(at_stage and at_work)


def met_at_words(hazard: Hazard) -> str:
    """Say at which stages and stations a hazard is met."""
    stages = [str(Stage(name).label) for name in Stage.values if name in hazard.stages]
    works = [str(words) for name, words in WORK_WORDS.items() if name in hazard.works]
    if not stages and not works:
        return str(gettext_lazy("at every stage and station"))
    return "; ".join(", ".join(part) for part in (stages, works) if part)


def hazards_met(
    hazards: Iterable[Hazard], stages: Sequence[str], works: Sequence[str]
) -> list[Hazard]:
    """Keep the hazards that are met at what is asked about."""
    return [hazard for hazard in hazards if is_met_at(hazard, stages, works)]


# The database does not keep the order in which a change was written.
FIELDS = (
    "title",
    "harm",
    "where",
    "severity",
    "likelihood",
    "severity_after",
    "likelihood_after",
    "severity_reason",
    "controller",
    "caution",
    "mark",
    "stages",
    "works",
    "review_on",
)
_WORDS: dict[str, dict[str, Any]] = {
    "works": dict(WORK_WORDS),
    "stages": dict(Stage.choices),
}


@dataclass(frozen=True, slots=True)
class Change:
    """One field of an assessment as it was and as it became, in words."""

    field: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class PastLine:
    """One line of the history: when, by whom, what was changed."""

    change: HazardChange
    words: str
    fields: tuple[Change, ...]


def changes(
    demonstration: Demonstration, number: int | None = None
) -> tuple[PastLine, ...]:
    """Return what was changed, the newest first, of one hazard or of all."""
    rows = HazardChange.objects.of(demonstration).newest_first()
    if number is not None:
        rows = rows.filter(hazard_number=number)
    return tuple(_past(change) for change in rows)


def _past(change: HazardChange) -> PastLine:
    """Tell a change in words; one that begins or ends an assessment by its title."""
    what = dict(change.what)
    seen = what.pop("looked_at", None)
    if seen:
        words = _("Checked again: %s.") % str(seen[1]).rstrip(".")
    elif what.get("title", ["", ""])[0] is None:
        return PastLine(change, str(_("Added.")), ())
    elif what.get("title", ["", ""])[1] is None:
        words = _("Deleted. It said:")
    else:
        words = _("Changed:")
    fields = tuple(
        Change(_name(field), _value_words(field, old), _value_words(field, new))
        for field, (old, new) in sorted(what.items(), key=_as_on_the_form)
        if _value_words(field, old) != _value_words(field, new)
    )
    return PastLine(change, str(words), fields)


def _as_on_the_form(item: tuple[str, Any]) -> int:
    field, _values = item
    return FIELDS.index(field) if field in FIELDS else len(FIELDS)


def _name(field: str) -> str:
    """Name a field as the form does."""
    if field == "controls":
        return str(_("controls"))
    try:
        return str(Hazard._meta.get_field(field).verbose_name)  # type: ignore[union-attr]
    except FieldDoesNotExist:
        return field


def _value_words(field: str, value: object) -> str:
    """Say a value that was kept in the history."""
    if isinstance(value, list):
        words = _WORDS.get(field, {})
        return "; ".join(str(words.get(one, one)) for one in value) or _("nothing")
    return _("nothing") if value in (None, "") else str(value)


@dataclass(frozen=True, slots=True)
class HazardLine:
    """One hazard with its judgements, and what it waits for."""

    hazard: Hazard
    before: Judgement
    after: Judgement
    lacks_name: bool
    is_overdue: bool

    @property
    def met_at(self) -> str:
        """At which stages and stations it is met."""
        return met_at_words(self.hazard)


@dataclass(frozen=True, slots=True)
class HazardPage:
    """The hazards of a demonstration that were asked for, the worst first."""

    lines: tuple[HazardLine, ...]
    of_all: int

    @property
    def without_name(self) -> int:
        """How many that can kill have nobody named."""
        return sum(line.lacks_name for line in self.lines)

    @property
    def overdue(self) -> int:
        """How many were to be looked at again by now."""
        return sum(line.is_overdue for line in self.lines)


@dataclass(frozen=True, slots=True)
class OneHazard:
    """A hazard's own page: its line, the briefings that name it, its history."""

    line: HazardLine
    briefings: tuple[Briefing, ...]
    past: tuple[PastLine, ...]


@dataclass(frozen=True, slots=True)
class RiskSheet:
    """All the hazards of a demonstration as they go on paper."""

    demonstration: Demonstration
    lines: tuple[HazardLine, ...]


def hazard_page(
    demonstration: Demonstration, day: date, *, stage: str = "", work: str = ""
) -> HazardPage:
    """List the hazards met at a stage or station, or all, with their judgements."""
    rows = list(_rows(demonstration).with_uses())
    asked = hazards_met(rows, [stage] if stage else [], [work] if work else [])
    return HazardPage(tuple(_line(hazard, day) for hazard in asked), len(rows))


def one_hazard(hazard: Hazard, day: date) -> OneHazard:
    """Show a hazard with the briefings that name it and all that was changed."""
    return OneHazard(
        _line(hazard, day),
        tuple(hazard.briefings.by_title()),
        changes(hazard.demonstration, hazard.pk),
    )


def risk_sheet(demonstration: Demonstration, day: date) -> RiskSheet:
    """Gather every hazard for the printer."""
    lines = tuple(_line(hazard, day) for hazard in _rows(demonstration))
    return RiskSheet(demonstration, lines)


def overdue_hazards(demonstration: Demonstration, day: date) -> list[Hazard]:
    """Return those that were to be looked at again before a day."""
    return list(Hazard.objects.of(demonstration).overdue(day).worst_first())


def _rows(demonstration: Demonstration) -> HazardQuerySet:
    rows = Hazard.objects.of(demonstration).select_related("assessed_by")
    return rows.worst_first().with_controls()


def _line(hazard: Hazard, day: date) -> HazardLine:
    return HazardLine(
        hazard,
        Judgement(hazard.severity, hazard.likelihood),
        Judgement(hazard.severity_after, hazard.likelihood_after),
        lacks_named_person(hazard.severity, hazard.controller),
        is_overdue(hazard, day),
    )


@dataclass(frozen=True, slots=True)
class GeneralCaution:
    """A caution for everybody, with its mark."""

    mark: str
    heading: str
    text: str


def general_cautions() -> tuple[GeneralCaution, ...]:
    """Return what everybody is told, whatever they come to do."""
    return (*_deep_water(), *_machines(), *_the_work(), *_ret_water())


def _deep_water() -> Iterator[GeneralCaution]:
    """Say what keeps people out of dams and pits."""
    yield GeneralCaution(
        Mark.PROHIBITION,
        _("The water"),
        _(
            "Nobody goes into the water alone, tired, after sunset or without a "
            "briefing."
        ),
    )
    yield GeneralCaution(
        Mark.PROHIBITION,
        _("Somebody in trouble in the water"),
        _("Call 999 or 112. Talk, reach or throw. Don't jump in."),
    )
    yield GeneralCaution(
        Mark.PROHIBITION,
        _("Pits and drained dams"),
        _("Never climb into a drained, covered or deep pit to help. Call first."),
    )


def _machines() -> Iterator[GeneralCaution]:
    """Say what keeps people whole at machines."""
    yield GeneralCaution(
        Mark.PROHIBITION,
        _("A jam in the machine"),
        _("Don't touch it until the engine is off, the key out and all is still."),
    )
    yield GeneralCaution(
        Mark.PROHIBITION,
        _("A missing guard"),
        _("Don't run the machine with any guard missing, in public or not."),
    )
    yield GeneralCaution(
        Mark.PROHIBITION,
        _("Children and machines"),
        _("No child rides on or works at tractor, trailer or machine."),
    )


def _the_work() -> Iterator[GeneralCaution]:
    """Say what the work itself, and the weather, can do to people."""
    yield GeneralCaution(
        Mark.MANDATORY,
        _("Lightning"),
        _(
            "Thunder within 30 seconds of the flash: stop work and take cover. Wait "
            "30 minutes after the last thunder."
        ),
    )
    yield GeneralCaution(
        Mark.WARNING,
        _("Heavy stones"),
        _(
            "Lifting figures are guides, not safe limits. Two people don't lift "
            "twice as much as one. Anybody may refuse a lift."
        ),
    )
    yield GeneralCaution(
        Mark.WARNING,
        _("Flax dust"),
        _("It can harm the chest. Stand upwind and keep your turn short."),
    )


def _ret_water() -> Iterator[GeneralCaution]:
    """Say what the water from a ret can do, to people and to a river."""
    yield GeneralCaution(
        Mark.MANDATORY,
        _("Illness afterwards"),
        _("Ill within three weeks of the dam? Tell your doctor about the water."),
    )
    yield GeneralCaution(
        Mark.PROHIBITION,
        _("Retting water"),
        _(
            "Don't let it into drain, ditch or river unless the people who look after "
            "your rivers agree."
        ),
    )


@dataclass(frozen=True, slots=True)
class AgeRules:
    """The age rules kept here, and the published ones behind them."""

    kept: tuple[RuleWords, ...]
    published: tuple[RuleWords, ...]


def young_people_rules(jurisdiction: str) -> AgeRules:
    """Return the age rules that hold under a jurisdiction, with their sources."""
    return AgeRules(
        tuple(map(rule_words, young_people.rules(jurisdiction))),
        tuple(map(rule_words, young_people.published_rules(jurisdiction))),
    )
