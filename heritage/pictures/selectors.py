"""What the picture pages show, each in a fixed number of queries."""

from collections.abc import Iterable
from dataclasses import dataclass

from heritage.common.models import Viewer
from heritage.people.models import AgeBand
from heritage.pictures.models import Picture
from heritage.season.models import Demonstration, Stage


@dataclass(frozen=True, slots=True)
class StageShelf:
    """The pictures of one stage, the oldest first."""

    stage: Stage
    pictures: tuple[Picture, ...]


@dataclass(frozen=True, slots=True)
class Wall:
    """All the pictures that somebody may see, stage by stage in the crop's order."""

    shelves: tuple[StageShelf, ...]
    count: int


@dataclass(frozen=True, slots=True)
class InIt:
    """Who is marked in a picture: adults by name, children only counted."""

    names: tuple[str, ...]
    children: int


def people_in(picture: Picture) -> InIt:
    """Say who is in a picture, for members: one query."""
    people = tuple(picture.people.all().by_name())
    adults = tuple(one.name for one in people if one.age_band == AgeBand.ADULT)
    return InIt(adults, len(people) - len(adults))


def wall(demonstration: Demonstration, user: Viewer) -> Wall:
    """Gather the pictures that a user may see, in date order by stage."""
    rows = Picture.objects.visible_to(user).of(demonstration).in_order()
    return _by_stage(rows.select_related("demonstration"))


def published_wall(demonstration: Demonstration) -> Wall:
    """Gather the published pictures alone, for the public page."""
    rows = Picture.objects.of(demonstration).published().in_order()
    return _by_stage(rows.select_related("demonstration"))


def newest_published(demonstration: Demonstration, most: int) -> tuple[Picture, ...]:
    """Return the newest published pictures, the newest first."""
    rows = Picture.objects.of(demonstration).published().newest_first()
    return tuple(rows.select_related("demonstration")[:most])


def _by_stage(rows: Iterable[Picture]) -> Wall:
    pictures = tuple(rows)
    shelves = (
        StageShelf(stage, tuple(p for p in pictures if p.stage == stage))
        for stage in Stage
    )
    return Wall(tuple(shelf for shelf in shelves if shelf.pictures), len(pictures))
