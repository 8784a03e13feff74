"""Which pictures lack their words, and which pictures a stage lacks."""

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


def captions(demonstration: Demonstration, user: User) -> Captions:
    """Return the next pictures without words that somebody may edit: two queries."""
    rows = Picture.objects.editable_by(user).of(demonstration).without_words()
    some = rows.select_related("demonstration")[:AT_ONCE]
    return Captions(tuple(some), rows.count())


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
