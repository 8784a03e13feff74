"""Pictures: taken in clean, described, shown and taken down again."""

import re
from collections.abc import Iterable, Mapping
from datetime import date, datetime
from enum import StrEnum
from functools import partial
from typing import Any, Final

from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.db import transaction
from django.db.models import F
from django.utils.translation import gettext as _

from heritage.common.photographs import read_photograph, tidied_up
from heritage.common.rows import fill_in, lock
from heritage.kits.imaging import Adjusted, Prepared, Refused, redraw
from heritage.people.models import User, Volunteer
from heritage.pictures import selectors
from heritage.pictures.models import DeletedPicture, PaperPermission, Picture, Shown
from heritage.season.models import Demonstration

MEANWHILE: Final = "meanwhile"
KEYWORDS_LENGTH: Final = 400
SHOWN: Final = ("is_published", "for_press")


class Way(StrEnum):
    """Where a picture goes within its stage."""

    FIRST = "first"
    UP = "up"
    DOWN = "down"


@transaction.atomic
def add_picture(
    *,
    demonstration: Demonstration,
    original: bytes,
    prepared: Prepared,
    values: Mapping[str, Any],
    by: User,
    now: datetime,
    people: Iterable[Volunteer] = (),
) -> Picture:
    """Keep a photograph: the original in private, two clean copies to show.

    Without a day in ``values`` it is the camera's; without keywords the file's.

    Raises
    ------
    ValidationError
        If the same file is in the record already, or a value cannot be.
    """
    lock(demonstration)
    _refuse_twice(demonstration, prepared)
    today = now.astimezone(demonstration.zone).date()
    taken_on = _day(values["taken_on"], prepared.taken_on, today)
    picture = Picture(
        demonstration=demonstration,
        original=ContentFile(original, name="original"),
        large=ContentFile(prepared.large, name="large.jpg"),
        small=ContentFile(prepared.small, name="small.jpg"),
        width=prepared.width,
        height=prepared.height,
        sha256=prepared.sha256,
        added_at=now,
        added_by=by,
    )
    _refuse_tomorrow(taken_on, today)
    people = list(people)
    _refuse_strangers(picture, people)
    keywords = values.get("keywords") or ", ".join(prepared.written.keywords)
    with tidied_up(picture, "original", "large", "small"):
        fill_in(
            picture, {**values, "taken_on": taken_on, "keywords": keywords_of(keywords)}
        )
        picture.people.set(people)
    return picture


@transaction.atomic
def edit_picture(
    *,
    picture: Picture,
    values: Mapping[str, Any],
    now: datetime,
    people: Iterable[Volunteer] | None = None,
    by: User | None = None,
    seen: Mapping[str, str] | None = None,
) -> Picture:
    """Correct what is said of a picture, and who is in it if ``people`` are given.

    ``seen`` are the words as they stood before the one who types now.

    Once somebody in it has not been asked, is not named or does not agree, the
    picture is withdrawn from visitors at once; so it is when somebody who does not
    organise changes it, until an organiser has looked again.

    Raises
    ------
    ValidationError
        If a value cannot be, or somebody changed the words meanwhile (`MEANWHILE`).
    """
    picture = lock(picture)
    values = _only_touched(values, seen or {})
    people = None if people is None else list(people)
    if picture.for_press and _is_anothers(picture, values, people):
        picture.for_press = False
    _refuse_meanwhile(picture, values, seen or {})
    _refuse_wordless(picture, values)
    if values.get("stage", picture.stage) != picture.stage:
        picture.place = None
    if _says_otherwise(picture, values):
        picture.worded_by = by
    for name, value in values.items():
        if name != "taken_on" or value:
            setattr(picture, name, value)
    if people is not None:
        _refuse_strangers(picture, people)
        picture.people.set(people)
    if (
        picture.shown == Shown.UNASKED
        or selectors.unanswered(picture)
        or _not_theirs(by, picture)
    ):
        _take_down(picture)
    today = now.astimezone(picture.demonstration.zone).date()
    _refuse_tomorrow(picture.taken_on, today)
    picture.keywords = keywords_of(picture.keywords)
    picture.full_clean()
    kept = {*values, *SHOWN, "keywords", "place", "worded_by"}
    picture.save(update_fields=kept)
    return picture


@transaction.atomic
def move(*, picture: Picture, way: Way) -> None:
    """Move a picture among those of its stage; the first stands for the stage."""
    lock(picture.demonstration)
    rows = Picture.objects.of(picture.demonstration).at_stage(picture.stage)
    order = list(rows.not_closed().in_place())
    if picture not in order:
        return
    at = order.index(picture)
    to = {Way.FIRST: 0, Way.UP: max(at - 1, 0), Way.DOWN: at + 1}[way]
    order.insert(to, order.pop(at))
    for place, one in enumerate(order, 1):
        one.place = place
    Picture.objects.bulk_update(order, ["place"], batch_size=500)


@transaction.atomic
def adjust(*, picture: Picture, values: Mapping[str, Any]) -> Picture:
    """Turn and trim the copies of a picture and hide squares of it, from its original.

    The original stays as it came, in private. The old copies go with their file.
    Where something shows again that was hidden, visitors see it once somebody looked.

    Raises
    ------
    ValidationError
        If the original can't be read any more, or a value cannot be.
    """
    picture = lock(picture)
    old, hidden = [picture.large, picture.small], set(picture.hidden_squares)
    for name, value in values.items():
        setattr(picture, name, value)
    if hidden - set(picture.hidden_squares):
        _take_down(picture)
    with picture.original.open("rb") as stored:
        data = stored.read()
    try:
        picture.width, picture.height, large, small = redraw(data, picture.adjusted)
    except Refused as refusal:
        raise ValidationError(_("The original can't be read any more.")) from refusal
    with tidied_up(picture, "large", "small"):
        picture.large = ContentFile(large, name="large.jpg")
        picture.small = ContentFile(small, name="small.jpg")
        picture.full_clean()
        picture.save()
    for file in old:
        gone = partial(file.storage.delete, str(file.name))
        transaction.on_commit(gone, robust=True)
    return picture


@transaction.atomic
def keep_again(*, picture: Picture, original: bytes | None, written: list[str]) -> bool:
    """Keep an original that came back, and draw its copies anew; tell whether it is.

    What is hidden in the copies stays hidden. The names of its files are added to
    ``written``; without an original the row names files that are not there.
    """
    data = _copies(original, picture.adjusted) if original else {}
    for name in ("original", "large", "small"):
        file = getattr(picture, name)
        ending = "" if name == "original" else f"{name}.jpg"
        file.name = file.field.generate_filename(picture, ending or name)
        if data:
            written.append(file.name)
            file.storage.save(file.name, ContentFile(data[name]))
    picture.save(update_fields=["original", "large", "small"])
    return bool(data)


def _copies(original: bytes, adjusted: Adjusted) -> dict[str, bytes]:
    """Return an original with its copies; nothing where it is no photograph."""
    try:
        prepared = read_photograph(original)
        large, small = prepared.large, prepared.small
        if adjusted != Adjusted():
            *_size, large, small = redraw(original, adjusted)
    except (ValidationError, Refused):
        return {}
    return {"original": original, "large": large, "small": small}


@transaction.atomic
def publish(*, picture: Picture) -> Picture:
    """Show a picture to visitors.

    Raises
    ------
    ValidationError
        If it lacks its caption, its description or the agreement of who is in it.
    """
    picture = lock(picture)
    missing = selectors.missing(picture)
    if missing:
        raise ValidationError(missing)
    picture.is_published = True
    picture.full_clean()
    picture.save(update_fields=["is_published"])
    return picture


@transaction.atomic
def clear_for_press(*, picture: Picture, cleared: bool) -> Picture:
    """Say whether newspapers may have a picture: who is in it agreed to that too.

    It holds until the picture is taken down, or who is in it or whose it is changes.

    Raises
    ------
    ValidationError
        If visitors do not see it.
    """
    picture = lock(picture)
    picture.for_press = cleared
    picture.full_clean()
    picture.save(update_fields=["for_press"])
    return picture


@transaction.atomic
def withdraw(*, picture: Picture) -> Picture:
    """Take a picture away from visitors; it stays in the record."""
    picture = lock(picture)
    _take_down(picture)
    picture.save(update_fields=SHOWN)
    return picture


@transaction.atomic
def unpublish_of(*, volunteer: Volunteer) -> list[Picture]:
    """Take every picture in which somebody is marked away from visitors, at once.

    The files go with it: each request for one is checked against the row.
    Returns the pictures that visitors saw until now.
    """
    rows = Picture.objects.select_for_update(of=("self",)).published()
    shown = list(rows.filter(pk__in=volunteer.pictures.values("pk")).in_order())
    for picture in shown:
        _take_down(picture)
        picture.save(update_fields=SHOWN)
    return shown


@transaction.atomic
def hide_for_good(*, volunteer: Volunteer, now: datetime) -> None:
    """Hide every picture in which somebody is marked, and forget who it was.

    No button shows one of them again, for nobody could tell any more whom it shows.
    """
    rows = Picture.objects.select_for_update(of=("self",)).showing(volunteer)
    for picture in rows.in_order():
        _take_down(picture)
        picture.hidden_at = picture.hidden_at or now
        picture.save(update_fields=[*SHOWN, "hidden_at"])
    volunteer.pictures.clear()


@transaction.atomic
def move_marks(*, gone: Volunteer, kept: Volunteer) -> int:
    """Mark the row that is kept where the other was marked; return how often."""
    twice = Picture.objects.showing(kept).values("pk")
    # Two who could be recognised are one and the same.
    several = gone.pictures.filter(pk__in=twice, recognisable__gt=1)
    several.update(recognisable=F("recognisable") - 1)
    count = gone.pictures.count()
    kept.pictures.add(*gone.pictures.all())
    gone.pictures.clear()
    return count


@transaction.atomic
def add_permission(
    *,
    picture: Picture,
    values: Mapping[str, Any],
    by: User,
    now: datetime,
) -> PaperPermission:
    """Keep word of a permission that somebody in a picture signed on paper.

    Raises
    ------
    ValidationError
        If it is already there, lacks its name or place, or is of a day to come.
    """
    picture = lock(picture)
    if values["signed_on"] > now.astimezone(picture.demonstration.zone).date():
        raise ValidationError(
            {"signed_on": _("That day is in the future. Enter an earlier one.")}
        )
    row = PaperPermission(picture=picture, added_by=by, added_at=now)
    return fill_in(row, values)


@transaction.atomic
def remove_permission(*, permission: PaperPermission) -> Picture:
    """Take a permission away; visitors lose the picture if it rested on it."""
    rows = Picture.objects.select_for_update(of=("self",))
    picture = rows.get(permissions=permission)
    permission.delete()
    if selectors.unanswered(picture):
        _take_down(picture)
        picture.save(update_fields=SHOWN)
    return picture


@transaction.atomic
def delete_picture(
    *, picture: Picture, reason: str, by: User, now: datetime
) -> DeletedPicture:
    """Delete a picture with its original and its copies, for good; say why.

    Raises
    ------
    ValidationError
        If no reason is given.
    """
    picture = lock(picture)
    row = DeletedPicture(
        demonstration=picture.demonstration,
        sha256=picture.sha256,
        deleted_by=by,
        deleted_at=now,
    )
    fill_in(row, {"reason": reason.strip()})
    for file in (picture.original, picture.large, picture.small):
        # Each for itself: where one cannot be deleted, the others still go.
        gone = partial(file.storage.delete, str(file.name))
        transaction.on_commit(gone, robust=True)
    picture.delete()
    return row


def _day(typed: date | None, camera: date | None, today: date) -> date:
    """Return the day that was typed, else the camera's if it can be, else today."""
    return typed or (camera if camera and camera <= today else today)


def _refuse_twice(demonstration: Demonstration, prepared: Prepared) -> None:
    if Picture.objects.of(demonstration).same_file(prepared.sha256).exists():
        raise ValidationError({"file": _("This picture is already here.")})
    gone = DeletedPicture.objects.of(demonstration).same_file(prepared.sha256).first()
    if gone:
        raise ValidationError(
            {"file": _("This picture was deleted. Why: %s") % gone.reason},
        )


def _take_down(picture: Picture) -> None:
    """Let no visitor and no newspaper have it, until somebody says so again."""
    picture.is_published = picture.for_press = False


def _is_anothers(
    picture: Picture, values: Mapping[str, Any], people: Iterable[Volunteer] | None
) -> bool:
    """Tell whether who is in a picture, or whose it is, is about to change."""
    names = ("shown", "recognisable", "credit", "licence")
    if any(
        values.get(name, was) != was
        for name in names
        for was in [getattr(picture, name)]
    ):
        return True
    return people is not None and set(picture.people.all()) != set(people)


def keywords_of(text: str) -> str:
    """Return the keywords in a text, each once, with commas between them."""
    words = (" ".join(word.split()) for word in re.split("[,;\n]", text))
    each = {word.casefold(): word for word in words if word}
    kept = ""
    for word in each.values():
        longer = f"{kept}, {word}" if kept else word
        kept = longer if len(longer) <= KEYWORDS_LENGTH else kept
    return kept


def _says_otherwise(picture: Picture, values: Mapping[str, Any]) -> bool:
    return any(values.get(name, was) != was for name, was in _words_of(picture).items())


def _words_of(picture: Picture) -> dict[str, str]:
    return {"caption": picture.caption, "alt_text": picture.alt_text}


def _only_touched(values: Mapping[str, Any], seen: Mapping[str, str]) -> dict[str, Any]:
    """Leave out the words that were sent back as they had been shown."""
    untouched = {name for name, was in seen.items() if values.get(name) == was}
    return {name: value for name, value in values.items() if name not in untouched}


def _refuse_meanwhile(
    picture: Picture, values: Mapping[str, Any], seen: Mapping[str, str]
) -> None:
    """Let nobody write over words that they have not seen: say them, and whose."""
    now = _words_of(picture)
    typed = [name for name in seen if values.get(name, now[name]) != now[name]]
    news = [name for name in typed if now[name] != seen[name]]
    if not news:
        return
    writer = picture.worded_by
    name = (writer.name if writer else "") or _("Somebody else")
    words = _(
        "%(name)s wrote meanwhile: “%(words)s” Yours is still here. Save again to put "
        "it in the place of theirs."
    )
    raise ValidationError(
        {
            field: ValidationError(
                words, code=MEANWHILE, params={"name": name, "words": now[field]}
            )
            for field in news
        }
    )


def _refuse_wordless(picture: Picture, values: Mapping[str, Any]) -> None:
    """Let no words be taken away: they may be written later, and changed."""
    gone = [
        name
        for name in ("caption", "alt_text")
        if getattr(picture, name) and not values.get(name, "same")
    ]
    if gone:
        raise ValidationError({name: _("Don't leave this empty.") for name in gone})


def _refuse_tomorrow(taken_on: date, today: date) -> None:
    if taken_on > today:
        raise ValidationError(
            {"taken_on": _("That day is in the future. Enter an earlier one.")}
        )


def _refuse_strangers(picture: Picture, people: Iterable[Volunteer]) -> None:
    home = picture.demonstration_id
    if any(person.demonstration_id != home for person in people):
        raise ValidationError({"people": _("Choose people on the list.")})


def _not_theirs(by: User | None, picture: Picture) -> bool:
    """Tell whether somebody who does not organise changes the picture."""
    if by is None:
        return False
    return not Picture.objects.managed_by(by).filter(pk=picture.pk).exists()
