"""Which pictures lack their words, and which pictures a stage lacks."""

from collections.abc import Collection
from dataclasses import dataclass

from heritage.people.models import User
from heritage.pictures.models import Picture, Shot
from heritage.season.models import Demonstration, Stage, StageRecord

AT_ONCE = 10


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
    """Say what each stage that has begun and not finished still lacks: two queries."""
    rows = Picture.objects.of(demonstration).not_closed()
    taken = set(rows.values_list("stage", "shot").distinct())
    going = StageRecord.objects.of(demonstration).going_on().values_list("stage")
    stages = {stage for (stage,) in going}
    return tuple(
        Gap(stage, tuple(shot for shot in Shot if (stage, shot) not in taken))
        for stage in Stage
        if stage in stages
    )


def to_order(demonstration: Demonstration, stage: Stage) -> tuple[Picture, ...]:
    """Return the pictures of a stage in their order: one query."""
    rows = Picture.objects.of(demonstration).at_stage(stage).not_closed()
    return tuple(rows.in_place().select_related("demonstration"))
