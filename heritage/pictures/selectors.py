"""What the picture pages show, each in a fixed number of queries."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

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
        reasons.append(_("Somebody in it was erased, so it stays hidden."))
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


def wall(
    demonstration: Demonstration, user: Viewer, asked: Mapping[str, Any] | None = None
) -> Wall:
    """Gather the pictures that a user may see, by stage and in their order: one query.

    ``asked`` narrows them, as `PictureQuerySet.narrowed` says, and by ``words`` in a
    caption, description, keyword or photographer's name.
    """
    asked = asked or {}
    rows = Picture.objects.visible_to(user).of(demonstration).narrowed(asked)
    rows = rows.in_place().select_related("demonstration")
    pictures = tuple(one for one in rows if _says(one, asked.get("words", "")))
    shelves = (
        StageShelf(stage, tuple(one for one in pictures if one.stage == stage))
        for stage in Stage
    )
    return Wall(tuple(shelf for shelf in shelves if shelf.pictures), len(pictures))


def _says(picture: Picture, words: str) -> bool:
    texts = (picture.caption, picture.alt_text, picture.credit, picture.keywords)
    written = "\n".join(texts).casefold()
    return all(word in written for word in words.casefold().split())


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
