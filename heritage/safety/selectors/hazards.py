"""The hazards of the ground, judged before and after what is done about them."""

from dataclasses import dataclass
from datetime import date

from heritage.safety.models import Briefing, Hazard, HazardQuerySet
from heritage.safety.selectors.judging import Judgement
from heritage.safety.selectors.past import PastLine, changes
from heritage.safety.selectors.stations import hazards_met, met_at_words
from heritage.safety.selectors.words import is_overdue, lacks_named_person
from heritage.season.models import Demonstration


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
