"""Many pictures at once, and their captions one after the other."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Any

from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile

from heritage.common.photographs import read_photograph
from heritage.people.models import User
from heritage.pictures.models import Picture
from heritage.pictures.services import add_picture
from heritage.season.models import Demonstration


class Came(StrEnum):
    """What became of a file."""

    ADDED = "added"
    THERE = "there"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True)
class Outcome:
    """One file of many: its name, what became of it, and why it was refused."""

    name: str
    came: Came
    why: str = ""


def add_many(
    *,
    demonstration: Demonstration,
    files: Iterable[UploadedFile[Any]],
    answers: Mapping[str, Any],
    by: User,
    now: datetime,
) -> list[Outcome]:
    """Keep photographs, each for itself: one that is refused stops no other.

    ``answers`` hold for all; a caption and a photographer that are written into a file
    come before them. One file is in memory at a time.
    """
    return [_add_one(demonstration, file, answers, by, now) for file in files]


def _add_one(
    demonstration: Demonstration,
    file: UploadedFile[Any],
    answers: Mapping[str, Any],
    by: User,
    now: datetime,
) -> Outcome:
    name = file.name or ""
    original = file.read()
    try:
        prepared = read_photograph(original)
        if Picture.objects.of(demonstration).same_file(prepared.sha256).exists():
            return Outcome(name, Came.THERE)
        written = prepared.written
        values = {
            **answers,
            "taken_on": None,
            "caption": written.caption,
            "credit": written.creator or answers["credit"],
        }
        add_picture(
            demonstration=demonstration,
            original=original,
            prepared=prepared,
            values=values,
            by=by,
            now=now,
        )
    except ValidationError as error:
        return Outcome(name, Came.REFUSED, " ".join(error.messages))
    return Outcome(name, Came.ADDED)
