"""Which pictures lack their words, and which pictures a stage lacks."""

from collections.abc import Collection
from dataclasses import dataclass

from django.core.paginator import Page, Paginator

from heritage.people.models import User
from heritage.pictures.models import Picture, Shot
from heritage.season.models import Demonstration, Stage, StageRecord, Tool

AT_ONCE = 10
TO_ORDER = 12


@dataclass(frozen=True, slots=True)
class Captions:
    """The pictures whose words are asked next, and how many wait in all."""

    pictures: tuple[Picture, ...]
    waiting: int


@dataclass(frozen=True, slots=True)
class Gap:
    """What nobody has photographed yet of a stage that is going on."""

    stage: Stage
    lacking: tuple[Shot, ...]
    tools: tuple[Tool, ...]

    @property
    def words(self) -> str:
        """Name each, and of the tools which: "hands, the tool (brake), after"."""
        named = ", ".join(str(tool.label) for tool in self.tools)
        return ", ".join(
            f"{shot.label} ({named})"
            if shot == Shot.TOOL and named
            else str(shot.label)
            for shot in self.lacking
        )


def captions(
    demonstration: Demonstration, user: User, typed: Collection[int] = ()
) -> Captions:
    """Return the next pictures without words that somebody may edit: two queries.

    Where words were ``typed`` for some, return those, with words or without.
    """
    mine = Picture.objects.editable_by(user).of(demonstration)
    waiting = mine.without_words()
    some = mine.filter(pk__in=typed).in_order() if typed else waiting
    rows = some.select_related("demonstration")[:AT_ONCE]
    return Captions(tuple(rows), waiting.count())


def gaps(demonstration: Demonstration) -> tuple[Gap, ...]:
    """Say what each stage that has begun and not finished still lacks: three queries.

    Where it is known what a stage is done with, each of its tools is asked for.
    """
    rows = Picture.objects.of(demonstration).not_closed()
    taken = set(rows.order_by().values_list("stage", "shot").distinct())
    seen = rows.tools()
    going = StageRecord.objects.of(demonstration).going_on().values_list("stage")
    stages = {stage for (stage,) in going}
    return tuple(_gap(stage, taken, seen) for stage in Stage if stage in stages)


def _gap(stage: Stage, taken: set[tuple[str, str]], seen: set[str]) -> Gap:
    tools = Tool.of_stage(stage)
    lacking = tuple(tool for tool in tools if tool not in seen)
    shots = (
        shot
        for shot in Shot
        if (lacking if shot == Shot.TOOL and tools else (stage, shot) not in taken)
    )
    return Gap(stage, tuple(shots), lacking)


def to_order(
    demonstration: Demonstration, stage: Stage, number: str = "", near: str = ""
) -> Page[Picture]:
    """Return a page of a stage's pictures in their order: two queries, or three.

    It is the one of a ``number``, or else the one where a picture is, by its key.
    """
    rows = Picture.objects.of(demonstration).at_stage(stage).not_closed().in_place()
    at = 0
    if near and not number:
        keys = [str(key) for key in rows.values_list("pk", flat=True)]
        at = keys.index(near) if near in keys else 0
    pages = Paginator(rows.select_related("demonstration"), TO_ORDER)
    return pages.get_page(number or at // TO_ORDER + 1)
