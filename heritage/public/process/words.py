"""The words of the process sheets, as they are kept in ``process_sheets.json``."""

import json
from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any, cast

from django.utils.translation import gettext as _

from heritage.common import steps
from heritage.kits.signs import Kind
from heritage.season.models import Demonstration, Jurisdiction, Stage, Tool

Pairs = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Step:
    """One drawn step: what to do, what its drawing shows, and three words for a child.

    Its drawing has the name of the sheet and the step's number.
    """

    does: str
    shows: str
    child: str
    drawing: str

    @property
    def file(self) -> Path:
        return steps.drawing(self.drawing)

    @property
    def address(self) -> str:
        return steps.address(self.drawing)


@dataclass(frozen=True, slots=True)
class ProcessText:
    """The words of a sheet, and of a stage's page.

    A stage's ``now`` says that it goes on, its ``come`` stands on its poster before the
    crop. A sheet of its own has a ``title`` and the ``stage`` it goes with.

    ``ways`` are ways of doing it that differ, each with who says so. ``figures`` are
    claims, each with its source or none; ``steps_from`` says where everything else
    comes from. ``disputed`` tells where the sources differ. ``child`` is the caution
    on the child's card. ``tools`` are the names of what it is done with.
    """

    name: str
    stage: Stage
    title: str
    now: str
    come: str
    what: str
    why: str
    steps: tuple[Step, ...]
    ways: Pairs
    words: Pairs
    cautions: tuple[tuple[Kind, str], ...]
    child: str
    steps_from: str
    figures: Pairs
    disputed: tuple[str, ...]
    tools: tuple[str, ...]

    @property
    def how(self) -> tuple[str, ...]:
        """What to do, step by step."""
        return tuple(step.does for step in self.steps)

    @property
    def is_stage(self) -> bool:
        """Whether it is a stage's own sheet."""
        return self.name == self.stage.value

    @property
    def heading(self) -> str:
        return self.title or self.stage.label.capitalize()


@cache
def _kept() -> Mapping[str, Mapping[str, Any]]:
    kept = files("heritage.public").joinpath("process_sheets.json")
    rows: Mapping[str, Mapping[str, Any]] = json.loads(kept.read_text("utf-8"))
    return rows


def names() -> list[str]:
    """Name every sheet, in the order of the work."""
    return list(_kept())


def text_of(name: str) -> ProcessText:
    """Return the words of a sheet in the reader's language.

    Each text of the file is a message of a translation's catalogue.
    """
    return _read(name, _kept()[name])


def process_texts() -> Mapping[Stage, ProcessText]:
    """Return the words of every stage's own sheet."""
    return {stage: text_of(stage.value) for stage in Stage}


def sheets_of(stage: Stage) -> list[ProcessText]:
    """Return the sheets that go with a stage, its own among them."""
    return [
        text_of(name)
        for name, row in _kept().items()
        if row.get("stage", name) == stage
    ]


def emergency_words(demonstration: Demonstration) -> str:
    """Say whom to call in an emergency, as far as the place tells."""
    if demonstration.jurisdiction == Jurisdiction.ELSEWHERE:
        return _("the emergency number")
    return _("999 or 112")


def told_here(text: ProcessText, demonstration: Demonstration) -> ProcessText:
    """Put the measures and the crop of a place into the words of a sheet."""
    local = {
        "beets_per_stook": str(demonstration.beets_per_stook),
        "root_end": demonstration.get_root_end_display(),
        "emergency": emergency_words(demonstration),
        "crop": demonstration.crop,
    }

    def say(kept: Any) -> Any:
        if isinstance(kept, tuple):
            return tuple(map(say, kept))
        if isinstance(kept, Step):
            return replace(kept, does=kept.does.format_map(local))
        return kept.format_map(local) if type(kept) is str else kept

    return ProcessText(
        **{one.name: say(getattr(text, one.name)) for one in fields(text)}
    )


def _read(name: str, row: Mapping[str, Any]) -> ProcessText:
    stage = Stage(row.get("stage", name))
    work = name if name == stage else f"{stage.value}/{name}"
    drawn = (
        Step(_said(does), _said(shows), _said(child), f"{name}-{number}")
        for number, (does, shows, child) in enumerate(row["how"], start=1)
    )
    return ProcessText(
        name=name,
        stage=stage,
        title=_said(row.get("title", "")),
        now=_said(row.get("now", "")),
        come=_said(row.get("come", "")),
        what=_said(row["what"]),
        why=_said(row["why"]),
        steps=tuple(drawn),
        ways=_pairs(row["ways"]),
        words=_pairs(row["words"]),
        cautions=tuple((cast(Kind, kind), _said(one)) for kind, one in row["cautions"]),
        child=_said(row["child"]),
        steps_from=_said(row["steps_from"]),
        figures=_pairs(row["figures"]),
        disputed=tuple(map(_said, row["disputed"])),
        tools=tuple(str(tool.label) for tool in Tool.of_work(work)),
    )


def _pairs(kept: Any) -> Pairs:
    return tuple((_said(first), _said(second)) for first, second in kept)


def _said(words: str) -> str:
    return _(words) if words else ""
