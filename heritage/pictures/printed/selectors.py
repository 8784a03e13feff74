"""Which pictures go on which sheet: only those cleared for its use."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from heritage.common.models import Viewer
from heritage.pictures.models import Picture, PictureQuerySet
from heritage.pictures.selectors import all_found
from heritage.season.models import Demonstration, Stage

# More would be a heap of paper, and more than a small machine can hold.
MOST_THUMBNAILS: Final = 240
MOST_IN_ALBUM: Final = 240
MOST_LABELS: Final = 160
ON_A_PANEL: Final = 3
MOST_FOR_PRESS: Final = 24


@dataclass(frozen=True, slots=True)
class Chapter:
    """The pictures of one stage, in their order."""

    stage: Stage
    pictures: tuple[Picture, ...]


@dataclass(frozen=True, slots=True)
class Printed:
    """The pictures for a sheet, by stage, and how many more there would be."""

    demonstration: Demonstration
    chapters: tuple[Chapter, ...]
    left_out: int

    @property
    def pictures(self) -> tuple[Picture, ...]:
        return tuple(one for chapter in self.chapters for one in chapter.pictures)


def told_of(picture: Picture) -> tuple[Any, ...]:
    """Return all that a sheet prints of a picture, to be compared; no query."""
    said = str(picture), picture.caption, picture.alt_text, picture.credit
    kept = picture.pk, picture.large.name, picture.small.name, picture.stage
    return *kept, picture.taken_on, picture.licence, *said


def contact(
    demonstration: Demonstration, user: Viewer, asked: Mapping[str, Any]
) -> Printed:
    """Return what the picture page shows for the same question: two queries."""
    pictures, more = all_found(demonstration, user, asked, MOST_THUMBNAILS)
    return Printed(demonstration, _by_stage(pictures), more)


def album(demonstration: Demonstration) -> Printed:
    """Return the pictures that visitors may see: one query."""
    return _printed(demonstration, _shown(demonstration), MOST_IN_ALBUM)


def labels(demonstration: Demonstration) -> Printed:
    """Return the pictures that a label may hang beside: one query."""
    return _printed(demonstration, _shown(demonstration), MOST_LABELS)


def panels(demonstration: Demonstration) -> Printed:
    """Return the first pictures of each stage that visitors may see: one query."""
    whole = _by_stage(_shown(demonstration))
    some = tuple(Chapter(one.stage, one.pictures[:ON_A_PANEL]) for one in whole)
    return Printed(demonstration, some, 0)


def press(demonstration: Demonstration) -> Printed:
    """Return the pictures that newspapers may have: one query."""
    rows = _shown(demonstration).for_the_press()
    return _printed(demonstration, rows, MOST_FOR_PRESS)


def _shown(demonstration: Demonstration) -> PictureQuerySet:
    rows = Picture.objects.of(demonstration).published().in_place()
    return rows.select_related("demonstration")


def _printed(
    demonstration: Demonstration, rows: Iterable[Picture], most: int
) -> Printed:
    everything = [one for part in _by_stage(rows) for one in part.pictures]
    some = _by_stage(everything[:most])
    return Printed(demonstration, some, max(0, len(everything) - most))


def _by_stage(rows: Iterable[Picture]) -> tuple[Chapter, ...]:
    """Gather pictures by stage, in the crop's order."""
    found: dict[str, list[Picture]] = {}
    for one in rows:
        found.setdefault(one.stage, []).append(one)
    stages = (stage for stage in Stage if stage in found)
    return tuple(Chapter(stage, tuple(found[stage])) for stage in stages)
