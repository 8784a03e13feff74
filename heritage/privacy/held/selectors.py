"""What is held about one person, across every subject: one query for each kind."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import groupby

from django.db.models import Count as Rows
from django.db.models import Max, Min, Model, QuerySet
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from heritage.common.privacy import Column, Counted, Wrote, choices, column
from heritage.people.models import Agreement, Volunteer
from heritage.privacy.models import Erasure
from heritage.privacy.selectors import Source, Value, facts, home_path, sources
from heritage.season.models import Demonstration
from heritage.tally.statements.selectors import PersonStatement, statement

COUNTS = [
    ("what", _("what")),
    ("how_many", _("how many")),
    ("first", _("first")),
    ("last", _("last")),
]

# The headings of the page, in order, and the subjects whose rows stand under each.
ABOUT, WORK = gettext_lazy("About you"), gettext_lazy("Evenings and work")
SAFETY, WROTE = gettext_lazy("Safety"), gettext_lazy("What you wrote")
GROUPS = (ABOUT, WORK, SAFETY, WROTE)
GROUP_OF = dict.fromkeys(("briefings", "incidents"), SAFETY)
GROUP_OF |= dict.fromkeys(
    ("gatherings", "dam", "fieldlog", "tally", "lots", "grounds"), WORK
)


@dataclass(frozen=True, slots=True)
class Part:
    """One part of somebody's record: its columns by key and words, and its rows."""

    key: str
    title: str
    why: str
    columns: Sequence[tuple[str, str]]
    rows: Sequence[Sequence[Value]]
    group: str | Promise

    @property
    def facts(self) -> list[tuple[str, Value]]:
        """The only row as pairs of words and value."""
        [row] = self.lines
        return row

    @property
    def lines(self) -> list[list[tuple[str, Value]]]:
        """Every row as pairs of words and value."""
        words = [label for _key, label in self.columns]
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

    @property
    def groups(self) -> list[tuple[str | Promise, list[Part]]]:
        """The parts under their headings."""
        rows = sorted(self.parts, key=lambda part: GROUPS.index(part.group))
        found = groupby(rows, key=lambda part: part.group)
        return [(heading, list(parts)) for heading, parts in found]


def held(volunteer: Volunteer, now: datetime) -> Held:
    """Return what is held: a fixed number of queries, however much it is."""
    merged = volunteer.merged_from.values_list("pk", flat=True).order_by("pk")
    keys = [volunteer.pk, *merged]
    parts = [
        *(_about(source, keys) for source in sources()),
        _statement(statement(volunteer)),
    ]
    if volunteer.user_id:
        parts += [_written(volunteer, *one) for one in facts(Wrote)]
        parts.append(_counted(volunteer))
    return Held(
        volunteer=volunteer,
        demonstration=volunteer.demonstration,
        made_at=now,
        parts=tuple(part for part in parts if part.rows),
    )


def _about(source: Source, keys: list[int]) -> Part:
    about = source.about
    rows = source.model._default_manager.filter(**{f"{source.path}__in": keys})
    words = about.key, str(about.title), str(about.why)
    group = GROUP_OF.get(source.model._meta.app_label, ABOUT)
    return _part(*words, source.columns, rows.order_by(about.order, "pk"), group)


def _written(
    volunteer: Volunteer, model: type[Model], field: str, wrote: Wrote
) -> Part:
    columns = [column(model, one) for one in wrote.columns.split()]
    rows = _by_account(volunteer, model, field).order_by(columns[-1].path, "pk")
    why = _("To show who wrote or decided what.")
    return _part(wrote.key, str(wrote.title), why, columns, rows, WROTE)


def _by_account(
    volunteer: Volunteer, model: type[Model], field: str
) -> QuerySet[Model]:
    """Keep what somebody's account wrote at this demonstration."""
    home = {str(home_path(model)): volunteer.demonstration_id}
    return model._default_manager.filter(**{field: volunteer.user_id}, **home)


def _part(
    key: str,
    title: str,
    why: str,
    columns: Sequence[Column],
    rows: QuerySet[Model],
    group: str | Promise,
) -> Part:
    paths = [column.path for column in columns]
    words = [choices(rows.model, path) for path in paths]
    return Part(
        key,
        title,
        why,
        [(column.key, str(column.label)) for column in columns],
        [
            tuple(
                known.get(value, value) for known, value in zip(words, row, strict=True)
            )
            for row in rows.values_list(*paths)
        ],
        group,
    )


def _counted(volunteer: Volunteer) -> Part:
    """Count what the account wrote about others, whose rows they are."""
    return Part(
        "for_others",
        _("What you wrote down for others"),
        _("These are about other people, so we only show how many."),
        [(key, str(words)) for key, words in COUNTS],
        [row for one in facts(Counted) for row in _count(volunteer, *one)],
        WROTE,
    )


def _count(
    volunteer: Volunteer, model: type[Model], field: str, counted: Counted
) -> Iterator[Sequence[Value]]:
    totals = _by_account(volunteer, model, field).aggregate(
        rows=Rows("pk"), first=Min(counted.when), last=Max(counted.when)
    )
    if totals["rows"]:
        yield (str(counted.what), totals["rows"], totals["first"], totals["last"])


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
        _("What the tally comes to for you."),
        [(key, words) for key, words, _value in pairs],
        [tuple(value for _key, _words, value in pairs)] if there else [],
        WORK,
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
