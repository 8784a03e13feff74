"""The organiser's own kinds of gathering, and those they may begin with."""

import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from heritage.gatherings.models import Pattern, PatternStation
from heritage.season.models import Demonstration, Stage

STARTING = Path(__file__).resolve().parent.parent / "starting_patterns.json"


@dataclass(frozen=True, slots=True)
class Starting:
    """A kind of gathering in our own words, not on the organiser's list yet."""

    title: str
    stage: str
    bring: str
    note: str
    stations: list[dict[str, Any]]

    @property
    def stage_words(self) -> str:
        return str(Stage(self.stage).label)


@dataclass(frozen=True, slots=True)
class PatternLine:
    """One pattern in the list, with its stations."""

    pattern: Pattern
    stations: list[PatternStation]


@dataclass(frozen=True, slots=True)
class PatternsPage:
    """The organiser's list, and what may still be taken into it."""

    patterns: list[PatternLine]
    starting: list[Starting]


def patterns_page(demonstration: Demonstration) -> PatternsPage:
    """Return the list of patterns: two queries."""
    rows = list(Pattern.objects.of(demonstration).by_title())
    stations: dict[int, list[PatternStation]] = {row.pk: [] for row in rows}
    for station in PatternStation.objects.of(demonstration).in_order():
        stations[station.pattern_id].append(station)
    known = {row.title.casefold() for row in rows}
    return PatternsPage(
        [PatternLine(row, stations[row.pk]) for row in rows],
        [one for one in starting_patterns() if one.title.casefold() not in known],
    )


def starting_patterns() -> list[Starting]:
    """Return every kind of gathering that may be begun with."""
    return [Starting(**{"stations": [], **row}) for row in _read()]


@cache
def _read() -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = json.loads(STARTING.read_text(encoding="utf-8"))
    return found
