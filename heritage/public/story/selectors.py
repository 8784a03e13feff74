"""The season as a story: the thread of its stages, and each stage on its own."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _

from heritage.common.models import Viewer
from heritage.dam.selectors import DamState, dam_states
from heritage.gatherings.models import Gathering
from heritage.gatherings.selectors import GatheringLine, gathering_lines
from heritage.growth.selectors import stages_seen
from heritage.lots.matters.selectors import stages_followed
from heritage.pictures.models import Picture
from heritage.public import words
from heritage.public.process.words import (
    ProcessText,
    process_texts,
    sheets_of,
    text_of,
    told_here,
)
from heritage.season.models import AT_THE_DAM, Demonstration, Stage, StageRecord, Tool
from heritage.season.selectors import Knot, Season, season, thread
from heritage.tally.selectors import FieldProgress, field_progress

DATES_SHOWN = 3
PICTURES_SHOWN = 6


@dataclass(frozen=True, slots=True)
class WaterLine:
    """A dam with flax in it, for visitors: how far along, and no day for lifting."""

    dam: str
    day: int
    low_percent: int | None
    high_percent: int | None

    @property
    def is_far_along(self) -> bool:
        """Whether the water may have had all the time it needs."""
        return self.high_percent is not None and self.high_percent >= 100


@dataclass(frozen=True, slots=True)
class Chapter:
    """A stage in the story: its place on the thread, its words, its first picture."""

    knot: Knot
    text: ProcessText
    picture: Picture | None


@dataclass(frozen=True, slots=True)
class StagePage:
    """One stage as visitors read of it."""

    demonstration: Demonstration
    now: datetime
    knot: Knot
    text: ProcessText
    record: StageRecord | None
    pictures: tuple[Picture, ...]
    tools: tuple[Picture, ...]
    dates: list[GatheringLine]
    progress: FieldProgress | None
    dams: list[WaterLine]
    before: Stage | None
    after: Stage | None

    @property
    def stage(self) -> Stage:
        return self.knot.stage

    @property
    def all(self) -> int:
        """How many stages there are."""
        return len(Stage)

    @property
    def sheets(self) -> list[ProcessText]:
        """The sheets that go with it, its own among them."""
        return sheets_of(self.stage)

    @property
    def more_pictures(self) -> tuple[Picture, ...]:
        """The pictures after the one that goes across the page."""
        return self.pictures[1 : 1 + PICTURES_SHOWN]

    @property
    def invitation(self) -> str:
        """When to come and see it, if there is a date."""
        if not self.dates:
            return ""
        row, zone = self.dates[0].gathering, self.demonstration.zone
        return _("Come and see it %s") % words.when(
            row.starts_at.astimezone(zone), row.ends_at.astimezone(zone), self.now
        )


def season_here(demonstration: Demonstration) -> Season:
    """Return the season as the crop's own rows show it: a fixed number of queries."""
    followed = stages_seen(demonstration) | stages_followed(demonstration)
    return season(demonstration, followed)


def chapters(demonstration: Demonstration, knots: list[Knot]) -> list[Chapter]:
    """Return the whole story, each stage with its first picture: one query."""
    first = _first_by_stage(demonstration)
    texts = process_texts()
    return [Chapter(knot, texts[knot.stage], first.get(knot.stage)) for knot in knots]


def _first_by_stage(demonstration: Demonstration) -> Mapping[str, Picture]:
    rows = Picture.objects.of(demonstration).published().in_place().reverse()
    return {row.stage: row for row in rows.select_related("demonstration")}


def stage_page(
    demonstration: Demonstration, stage: Stage, user: Viewer, now: datetime
) -> StagePage:
    """Return one stage's page: a fixed number of queries for each stage."""
    knots = {knot.stage: knot for knot in thread(season_here(demonstration))}
    knot = knots[stage]
    before, after = _neighbours(stage)
    pictures = Picture.objects.of(demonstration).published().at_stage(stage)
    return StagePage(
        demonstration=demonstration,
        now=now.astimezone(demonstration.zone),
        knot=knot,
        text=told_here(text_of(stage.value), demonstration),
        record=knot.line.record,
        pictures=tuple(
            pictures.select_related("demonstration").in_place()[: 1 + PICTURES_SHOWN]
        ),
        tools=tools_seen(demonstration, stage),
        dates=_dates(demonstration, stage, user, now),
        progress=field_progress(demonstration) if stage == Stage.PULLING else None,
        dams=waters(demonstration, now) if stage in AT_THE_DAM else [],
        before=before,
        after=after,
    )


def tools_seen(demonstration: Demonstration, stage: Stage) -> tuple[Picture, ...]:
    """Return a picture of each tool of a stage that has one shown: one query."""
    tools = Tool.of_stage(stage)
    first: dict[str, Picture] = {}
    for row in Picture.objects.of(demonstration).published().of_tools(tools):
        first.setdefault(row.tool, row)
    return tuple(first[tool] for tool in tools if tool in first)


def _dates(
    demonstration: Demonstration, stage: Stage, user: Viewer, now: datetime
) -> list[GatheringLine]:
    rows = Gathering.objects.visible_to(user).of(demonstration).going_ahead()
    at_stage = rows.filter(stage=stage).upcoming(now).for_page()
    return gathering_lines(at_stage[:DATES_SHOWN])


def _neighbours(stage: Stage) -> tuple[Stage | None, Stage | None]:
    stages = list(Stage)
    at = stages.index(stage)
    return (
        stages[at - 1] if at else None,
        stages[at + 1] if at + 1 < len(stages) else None,
    )


def waters(demonstration: Demonstration, now: datetime) -> list[WaterLine]:
    """Say of each dam with flax in it how far along it may be."""
    states = dam_states(demonstration, now)
    return [line for line in map(_water, states) if line]


def _water(state: DamState) -> WaterLine | None:
    if state.ret is None:
        return None
    low, high = state.ret.percents or (None, None)
    return WaterLine(state.dam.name, state.ret.day, low, high)
