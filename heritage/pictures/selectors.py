"""What the picture pages show, each in a fixed number of queries."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any, Final

from django.core.paginator import Page, Paginator
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from heritage.common.models import Viewer
from heritage.people.models import AgeBand, Volunteer, VolunteerQuerySet
from heritage.pictures.models import (
    DeletedPicture,
    PaperPermission,
    Picture,
    Shown,
    not_agreed,
)
from heritage.season.models import Demonstration, Stage, Tool

ON_A_PAGE: Final = 12
# Where the words that are looked for may stand.
WRITTEN: Final = ("caption", "alt_text", "credit", "keywords")


@dataclass(frozen=True, slots=True)
class StageShelf:
    """Pictures of one stage in their order, and how many it has in all."""

    stage: Stage
    pictures: tuple[Picture, ...]
    count: int


@dataclass(frozen=True, slots=True)
class Wall:
    """What of the pictures is shown at a time, stage by stage in the crop's order.

    ``count`` is how many were found; of very many, ``page`` tells which are shown.
    """

    shelves: tuple[StageShelf, ...]
    count: int
    page: Page[int] | None = None


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


def permissions_of(picture: Picture) -> tuple[PaperPermission, ...]:
    """Return the permissions on paper that are kept for a picture: one query."""
    return tuple(picture.permissions.by_name())


def deleted(demonstration: Demonstration, user: Viewer) -> tuple[DeletedPicture, ...]:
    """Return what was deleted and why, for an organiser: one query."""
    rows = DeletedPicture.objects.visible_to(user).of(demonstration).newest_first()
    return tuple(rows.select_related("deleted_by"))


def missing(picture: Picture) -> list[str]:
    """Say everything that a picture lacks before visitors may see it."""
    reasons = []
    if picture.hidden_at:
        reasons.append(_("Somebody in it was deleted, so it stays hidden."))
    if not picture.caption.strip():
        reasons.append(_("It has no caption yet."))
    if not picture.alt_text.strip():
        reasons.append(_("It is not yet described for somebody who cannot see it."))
    if picture.shown == Shown.UNASKED:
        reasons.append(
            _(
                "Somebody in it has not been asked. Ask first, or choose another "
                "picture."
            )
        )
    return reasons + unanswered(picture)


def unanswered(picture: Picture) -> list[str]:
    """Say whose agreement a picture lacks: each person marked, or on paper."""
    reasons = []
    people = Volunteer.objects.filter(pictures=picture)
    unwilling = [person.name for person in not_agreed(people).by_name()]
    if unwilling:
        reasons.append(
            _(
                "No agreement to be shown stands for %s. Ask them, or the guardian of "
                "a child, and write the agreement down first."
            )
            % ", ".join(unwilling)
        )
    if picture.shown in (Shown.AGREED, Shown.GUARDIAN_AGREED):
        reasons += _not_named(picture, len(people), len(people.minors()))
    return reasons


def _not_named(picture: Picture, marked: int, children: int) -> list[str]:
    if not picture.recognisable:
        return [_("Say how many people can be recognised.")]
    papers = list(picture.permissions.all())
    short = picture.recognisable - marked - len(papers)
    reasons = []
    if short > 0:
        reasons.append(
            ngettext(
                "%d person in it is not named yet. Mark them, or add their permission "
                "on paper.",
                "%d people in it are not named yet. Mark them, or add their "
                "permissions on paper.",
                short,
            )
            % short
        )
    signed = any(paper.guardian for paper in papers)
    if picture.shown == Shown.GUARDIAN_AGREED and not (children or signed):
        reasons.append(_("Mark the child, or add the guardian's permission on paper."))
    return reasons


def wall(demonstration: Demonstration, user: Viewer) -> Wall:
    """Show each stage by its first picture that a user may see: two queries."""
    stages = _stages_found(demonstration, user, {})
    firsts = [keys[0] for keys in stages.values()]
    return Wall(_shelves(firsts, stages), sum(map(len, stages.values())))


def found(
    demonstration: Demonstration,
    user: Viewer,
    asked: Mapping[str, Any],
    number: str | int | None = 1,
) -> Wall:
    """Return one page of the pictures that a user may see and asked for: two queries.

    ``asked`` narrows them, as `PictureQuerySet.narrowed` says, and by ``words`` in a
    caption, description, keyword, tool or photographer's name.
    """
    stages = _stages_found(demonstration, user, asked)
    keys = [key for of_one in stages.values() for key in of_one]
    page = Paginator(keys, ON_A_PAGE).get_page(number)
    return Wall(_shelves(list(page.object_list), stages), len(keys), page)


def all_found(
    demonstration: Demonstration, user: Viewer, asked: Mapping[str, Any], most: int
) -> tuple[list[Picture], int]:
    """Return as many as ``most`` of what was asked for, and how many more there are."""
    stages = _stages_found(demonstration, user, asked)
    keys = [key for of_one in stages.values() for key in of_one]
    shelves = _shelves(keys[:most], stages)
    pictures = [one for shelf in shelves for one in shelf.pictures]
    return pictures, max(0, len(keys) - most)


def _stages_found(
    demonstration: Demonstration, user: Viewer, asked: Mapping[str, Any]
) -> dict[Stage, list[int]]:
    """Return the keys of what is found, in its order, by stage: one light query."""
    rows = Picture.objects.visible_to(user).of(demonstration).narrowed(asked)
    words = asked.get("words", "").casefold().split()
    texts = ("tool", *WRITTEN) if words else ()
    keys: dict[str, list[int]] = defaultdict(list)
    for stage, key, *said in rows.in_place().values_list("stage", "pk", *texts):
        if not words or _says(said, words):
            keys[stage].append(key)
    return {stage: keys[stage] for stage in Stage if stage in keys}


def _shelves(
    keys: Sequence[int], stages: Mapping[Stage, list[int]]
) -> tuple[StageShelf, ...]:
    """Read pictures in the order of their keys, parted by stage: one query."""
    rows = Picture.objects.select_related("demonstration").in_bulk(keys)
    parted = groupby((rows[key] for key in keys if key in rows), lambda row: row.stage)
    return tuple(
        StageShelf(Stage(stage), tuple(some), len(stages[Stage(stage)]))
        for stage, some in parted
    )


def _says(said: Sequence[str], words: Iterable[str]) -> bool:
    """Tell whether a tool's code and some texts hold all the words."""
    tool = str(Tool(said[0]).label) if said[0] else ""
    written = "\n".join([tool, *said[1:]]).casefold()
    return all(word in written for word in words)


def to_be_found(
    demonstration: Demonstration, user: Viewer, *, all_: bool
) -> VolunteerQuerySet:
    """Return by whom pictures may be looked for: children by an organiser alone."""
    shown = Picture.objects.visible_to(user).of(demonstration)
    people = Volunteer.objects.of(demonstration).filter(pictures__in=shown).distinct()
    if not all_:
        people = people.filter(age_band=AgeBand.ADULT)
    return people.by_name().select_related("guardian")


def beside(picture: Picture, user: Viewer) -> tuple[int | None, int | None]:
    """Return the keys before and after a picture, in the wall's order: one query."""
    rows = Picture.objects.visible_to(user).of(picture.demonstration).in_place()
    stages = {stage: number for number, stage in enumerate(Stage.values)}
    row = sorted(rows.values_list("pk", "stage"), key=lambda one: stages[one[1]])
    keys = [None, *(pk for pk, _stage in row), None]
    here = keys.index(picture.pk)
    return keys[here - 1], keys[here + 1]


def newest_published(demonstration: Demonstration, most: int) -> tuple[Picture, ...]:
    """Return the newest published pictures, the newest first."""
    rows = Picture.objects.of(demonstration).published().newest_first()
    return tuple(rows.select_related("demonstration")[:most])
