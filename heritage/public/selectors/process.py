"""The words of the process sheets, and what a sheet adds to them from here."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, cast

from heritage.kits.signs import Kind
from heritage.pictures.models import Picture
from heritage.season.models import Demonstration, Jurisdiction, Stage


@dataclass(frozen=True, slots=True)
class ProcessText:
    """The words of a stage's sheet.

    ``figures`` are claims, each with its source or none; ``steps_from`` says where
    everything else comes from. ``disputed`` tells where the sources differ.
    """

    what: str
    why: str
    how: tuple[str, ...]
    words: tuple[tuple[str, str], ...]
    cautions: tuple[tuple[Kind, str], ...]
    steps_from: str
    figures: tuple[tuple[str, str], ...]
    disputed: tuple[str, ...]
    drawing: str


@dataclass(frozen=True, slots=True)
class ProcessPage:
    """All that a stage's process sheet prints, in the measures of the place."""

    demonstration: Demonstration
    stage: Stage
    text: ProcessText
    picture: Picture | None

    @property
    def number(self) -> int:
        """The stage's place in the order from seed to fibre, from 1."""
        return list(Stage).index(self.stage) + 1


@cache
def process_texts() -> Mapping[str, ProcessText]:
    """Return the words of every stage's sheet, as they are kept."""
    kept = files("heritage.public").joinpath("process_sheets.json")
    rows = json.loads(kept.read_text(encoding="utf-8"))
    return {stage: _read(row, {}) for stage, row in rows.items()}


def process_page(demonstration: Demonstration, stage: Stage) -> ProcessPage:
    """Return a stage's process sheet for a demonstration: one query."""
    shown = Picture.objects.of(demonstration).published().at_stage(stage)
    return ProcessPage(
        demonstration=demonstration,
        stage=stage,
        text=_told_here(process_texts()[stage.value], demonstration),
        picture=shown.newest_first().first(),
    )


def emergency_words(demonstration: Demonstration) -> str:
    """Say whom to call in an emergency, as far as the place tells."""
    if demonstration.jurisdiction == Jurisdiction.ELSEWHERE:
        return "the emergency number"
    return "999 or 112"


def _told_here(text: ProcessText, demonstration: Demonstration) -> ProcessText:
    fields = {name: getattr(text, name) for name in ProcessText.__slots__}
    local = {
        "beets_per_stook": str(demonstration.beets_per_stook),
        "emergency": emergency_words(demonstration),
    }
    return _read(fields, local)


def _read(row: Mapping[str, Any], local: Mapping[str, str]) -> ProcessText:
    def say(words: str) -> str:
        return words.format_map(local) if local else words

    def pairs(kept: Any) -> tuple[tuple[str, str], ...]:
        return tuple((first, say(second)) for first, second in kept)

    return ProcessText(
        what=say(row["what"]),
        why=say(row["why"]),
        how=tuple(say(step) for step in row["how"]),
        words=pairs(row["words"]),
        cautions=cast(tuple[tuple[Kind, str], ...], pairs(row["cautions"])),
        steps_from=row["steps_from"],
        figures=pairs(row["figures"]),
        disputed=tuple(say(words) for words in row["disputed"]),
        drawing=row["drawing"],
    )
