"""What is held about one person, across every subject: one query for each kind."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db.models import Count as Rows
from django.db.models import Max, Min
from django.utils.translation import gettext as _

from heritage.people.models import Agreement, Volunteer
from heritage.privacy.kept.selectors import (
    ABOUT,
    COUNTED,
    WRITTEN,
    Count,
    Source,
    Value,
    said,
)
from heritage.privacy.models import Erasure
from heritage.season.models import Demonstration
from heritage.tally.statements.selectors import PersonStatement, statement

COUNTS = [
    ("what", _("what")),
    ("how_many", _("how many")),
    ("first", _("first")),
    ("last", _("last")),
]


@dataclass(frozen=True, slots=True)
class Part:
    """One part of somebody's record: its columns by key and words, and its rows."""

    key: str
    title: str
    why: str
    columns: Sequence[tuple[str, str]]
    rows: Sequence[Sequence[Value]]

    @property
    def facts(self) -> list[tuple[str, Value]]:
        """The only row as pairs of words and value."""
        [row] = self.lines
        return row

    @property
    def lines(self) -> list[list[tuple[str, Value]]]:
        """Every row as pairs of words and value."""
        words = [said for _key, said in self.columns]
        return [list(zip(words, row, strict=True)) for row in self.rows]

    @property
    def is_one(self) -> bool:
        """Whether there is one row, best read as a list of facts."""
        return len(self.rows) == 1


@dataclass(frozen=True, slots=True)
class Held:
    """Everything held about one person; parts without a row are left out."""

    volunteer: Volunteer
    demonstration: Demonstration
    made_at: datetime
    parts: tuple[Part, ...]


def held(volunteer: Volunteer, now: datetime) -> Held:
    """Return what is held: a fixed number of queries, however much it is."""
    merged = volunteer.merged_from.values_list("pk", flat=True).order_by("pk")
    keys = [volunteer.pk, *merged]
    parts = [
        *(_about(source, keys) for source in ABOUT),
        _statement(statement(volunteer)),
    ]
    if volunteer.user_id:
        parts += [_written(source, volunteer) for source in WRITTEN]
        parts.append(_counted(volunteer))
    return Held(
        volunteer=volunteer,
        demonstration=volunteer.demonstration,
        made_at=now,
        parts=tuple(part for part in parts if part.rows),
    )


def _about(source: Source, keys: list[int]) -> Part:
    path = "pk__in" if source.person == "pk" else source.person
    return _part(source, {path: keys})


def _written(source: Source, volunteer: Volunteer) -> Part:
    asked = {source.person: volunteer.user_id, source.home: volunteer.demonstration_id}
    return _part(source, asked)


def _part(source: Source, asked: dict[str, Any]) -> Part:
    paths = [column.path for column in source.columns]
    words = [said(source.model, path) for path in paths]
    rows = source.model._default_manager.filter(**asked).order_by(*source.order)
    return Part(
        source.key,
        str(source.title),
        str(source.why),
        [(column.key, str(column.label)) for column in source.columns],
        [
            tuple(
                known.get(value, value) for known, value in zip(words, row, strict=True)
            )
            for row in rows.values_list(*paths)
        ],
    )


def _counted(volunteer: Volunteer) -> Part:
    """Count what the account wrote about others, whose rows they are."""
    return Part(
        "for_others",
        _("What you wrote down for others"),
        _("These rows are about other people, so only their number is told here."),
        [(key, str(words)) for key, words in COUNTS],
        [row for one in COUNTED for row in _count(one, volunteer)],
    )


def _count(one: Count, volunteer: Volunteer) -> Iterator[Sequence[Value]]:
    asked = {one.person: volunteer.user_id, one.home: volunteer.demonstration_id}
    found = one.model._default_manager.filter(**asked).aggregate(
        rows=Rows("pk"), first=Min(one.when), last=Max(one.when)
    )
    if found["rows"]:
        yield (str(one.what), found["rows"], found["first"], found["last"])


def _statement(page: PersonStatement) -> Part:
    """Say what the book comes to, where there is anything in it."""
    pairs: list[tuple[str, str, Value]] = [
        ("beets", _("beets"), page.beets),
        ("stooks", _("stooks"), page.settled.stooks),
        ("beets_over", _("beets over"), page.settled.beets_over),
        ("hours", _("hours"), str(page.hours)),
        ("token_pay_farthings", _("token pay, farthings"), page.settled.farthings),
        ("token_pay", _("token pay"), page.pay.old),
        ("unconfirmed", _("beets still to be confirmed"), page.unconfirmed),
    ]
    there = page.lines or page.work or page.unconfirmed
    return Part(
        "statement",
        _("Your statement"),
        _("What the lines of the tally book come to."),
        [(key, words) for key, words, _value in pairs],
        [tuple(value for _key, _words, value in pairs)] if there else [],
    )


def shown(value: Value, demonstration: Demonstration) -> str:
    """Write a value as people read it, in the demonstration's own time."""
    if value is None or value == "":
        return "-"
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    if isinstance(value, datetime):
        return f"{value.astimezone(demonstration.zone):%d %b %Y, %H:%M}"
    if isinstance(value, date):
        return f"{value:%d %b %Y}"
    return str(value)


@dataclass(frozen=True, slots=True)
class Rights:
    """What somebody can ask for on the page of what is held about them."""

    standing: tuple[Agreement, ...]
    children: tuple[Volunteer, ...]
    asked: Erasure | None


def rights(volunteer: Volunteer) -> Rights:
    """Return the agreements that stand, the children, and an open asking: three."""
    return Rights(
        standing=tuple(volunteer.agreements.standing().newest_first()),
        children=tuple(volunteer.children.active().by_name()),
        asked=Erasure.objects.open().about(volunteer).first(),
    )
