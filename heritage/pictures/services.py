"""Pictures: taken in clean, described, shown and taken down again."""

from collections.abc import Iterable
from datetime import date, datetime
from typing import TypedDict

from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.common.photographs import tidied_up
from heritage.gatherings.models import Gathering
from heritage.kits.imaging import Prepared
from heritage.people.models import User, Volunteer
from heritage.pictures.models import Picture, Shown, not_agreed
from heritage.season.models import Demonstration


class Description(TypedDict):
    """What is said of a picture; ``taken_on`` may be left to the camera."""

    stage: str
    gathering: Gathering | None
    caption: str
    alt_text: str
    taken_on: date | None
    credit: str
    licence: str
    shown: str


@transaction.atomic
def add_picture(
    *,
    demonstration: Demonstration,
    original: bytes,
    prepared: Prepared,
    said: Description,
    user: User,
    now: datetime,
    people: Iterable[Volunteer] = (),
) -> Picture:
    """Keep a photograph: the original in private, two clean copies to show.

    Raises
    ------
    ValidationError
        If the same file is in the record already, or what is said of it cannot be.
    """
    Demonstration.objects.select_for_update(no_key=True).get(pk=demonstration.pk)
    _refuse_twice(demonstration, prepared)
    today = now.astimezone(demonstration.zone).date()
    picture = Picture(
        **said | {"taken_on": _day(said["taken_on"], prepared.taken_on, today)},
        demonstration=demonstration,
        original=ContentFile(original, name="original"),
        large=ContentFile(prepared.large, name="large.jpg"),
        small=ContentFile(prepared.small, name="small.jpg"),
        width=prepared.width,
        height=prepared.height,
        sha256=prepared.sha256,
        added_at=now,
        added_by=user,
    )
    _refuse_tomorrow(picture, today)
    picture.full_clean()
    people = list(people)
    _refuse_strangers(picture, people)
    with tidied_up(picture, "original", "large", "small"):
        picture.save()
        picture.people.set(people)
    return picture


@transaction.atomic
def edit_picture(
    *,
    picture: Picture,
    said: Description,
    now: datetime,
    people: Iterable[Volunteer] | None = None,
    by: User | None = None,
) -> Picture:
    """Put right what is said of a picture, and who is in it where that is said.

    Once somebody in it has not been asked, or does not agree, the picture is
    withdrawn from visitors in the same stroke; so it is when somebody who does not
    organise changes it, until an organiser has looked again.

    Raises
    ------
    ValidationError
        If what is said of it cannot be.
    """
    picture = Picture.objects.select_for_update().get(pk=picture.pk)
    for name, value in said.items():
        if name != "taken_on" or value:
            setattr(picture, name, value)
    if people is not None:
        people = list(people)
        _refuse_strangers(picture, people)
        picture.people.set(people)
    if (
        picture.shown == Shown.UNASKED
        or _unwilling(picture)
        or _not_theirs(by, picture)
    ):
        picture.is_published = False
    _refuse_tomorrow(picture, now.astimezone(picture.demonstration.zone).date())
    picture.full_clean()
    picture.save(update_fields=[*said, "is_published"])
    return picture


@transaction.atomic
def publish(*, picture: Picture) -> Picture:
    """Show a picture to visitors.

    Raises
    ------
    ValidationError
        If it lacks its caption, its description or the agreement of who is in it.
    """
    picture = Picture.objects.select_for_update().get(pk=picture.pk)
    missing = _missing(picture)
    if missing:
        raise ValidationError(missing)
    picture.is_published = True
    picture.full_clean()
    picture.save(update_fields=["is_published"])
    return picture


@transaction.atomic
def withdraw(*, picture: Picture) -> Picture:
    """Take a picture away from visitors; it stays in the record."""
    picture = Picture.objects.select_for_update().get(pk=picture.pk)
    picture.is_published = False
    picture.save(update_fields=["is_published"])
    return picture


@transaction.atomic
def unpublish_of(*, volunteer: Volunteer) -> list[Picture]:
    """Take every picture in which somebody is marked away from visitors, at once.

    The files go with it: whoever asks for one is checked against the row each time.
    Returns the pictures that visitors saw until now.
    """
    rows = Picture.objects.select_for_update(of=("self",)).published()
    shown = list(rows.filter(pk__in=volunteer.pictures.values("pk")).in_order())
    for picture in shown:
        picture.is_published = False
        picture.save(update_fields=["is_published"])
    return shown


@transaction.atomic
def unmark(*, volunteer: Volunteer) -> int:
    """Forget in which pictures somebody is; return how many there were."""
    count = volunteer.pictures.count()
    volunteer.pictures.clear()
    return count


def _day(said: date | None, camera: date | None, today: date) -> date:
    """Return the day that was typed, else the camera's if it can be, else today."""
    return said or (camera if camera and camera <= today else today)


def _refuse_twice(demonstration: Demonstration, prepared: Prepared) -> None:
    if Picture.objects.of(demonstration).same_file(prepared.sha256).exists():
        raise ValidationError({"file": _("This picture is in the record already.")})


def _refuse_tomorrow(picture: Picture, today: date) -> None:
    if picture.taken_on > today:
        raise ValidationError({"taken_on": _("That day has not come yet.")})


def _refuse_strangers(picture: Picture, people: Iterable[Volunteer]) -> None:
    home = picture.demonstration_id
    if any(person.demonstration_id != home for person in people):
        raise ValidationError({"people": _("They are no volunteers here.")})


def _unwilling(picture: Picture) -> list[str]:
    """Name who is marked in a picture and has not agreed to be shown."""
    people = not_agreed(Volunteer.objects.filter(pictures=picture)).by_name()
    return [person.name for person in people]


def _not_theirs(by: User | None, picture: Picture) -> bool:
    """Tell whether somebody who does not organise changes the picture."""
    if by is None:
        return False
    return not Picture.objects.managed_by(by).filter(pk=picture.pk).exists()


def _missing(picture: Picture) -> list[str]:
    """Say everything that a picture lacks before visitors may see it."""
    said = []
    if not picture.caption.strip():
        said.append(_("It has no caption yet."))
    if not picture.alt_text.strip():
        said.append(_("It is not yet described for somebody who cannot see it."))
    if picture.shown == Shown.UNASKED:
        said.append(
            _(
                "Somebody in it has not been asked. Ask first, or choose another "
                "picture."
            )
        )
    unwilling = _unwilling(picture)
    if unwilling:
        said.append(
            _(
                "No agreement to be shown stands for %s. Ask them, or the guardian of "
                "a child, and write the agreement down first."
            )
            % ", ".join(unwilling)
        )
    return said
