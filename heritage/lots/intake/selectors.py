"""The crop's moves as a file, and what the lines of such a file say."""

import re
import uuid
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal, InvalidOperation
from typing import Any
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from heritage.kits.tables.read import TableRow
from heritage.lots.models import Loss, Lot, Move, Place
from heritage.lots.selectors import ways_from
from heritage.people.models import Volunteer
from heritage.season.models import Demonstration

# The headings of our own file, in their order; a file from elsewhere has some of them.
HEADS = {
    "when": gettext_lazy("when"),
    "lot": gettext_lazy("lot"),
    "source": gettext_lazy("from"),
    "to_lot": gettext_lazy("to lot"),
    "target": gettext_lazy("to"),
    "beets": gettext_lazy("beets"),
    "weight_kg": gettext_lazy("weight kg"),
    "moisture": gettext_lazy("water %"),
    "dry_kg": gettext_lazy("dry kg"),
    "loss": gettext_lazy("what became of it"),
    "who": gettext_lazy("who did it"),
    "note": gettext_lazy("note"),
    "checked": gettext_lazy("weight checked"),
    "reason": gettext_lazy("why taken back"),
    "key": gettext_lazy("key"),
}
NEEDED = ("when", "lot", "source", "target")
MOMENTS = ("%Y-%m-%d %H:%M", "%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M:%S", "%d/%m/%Y %H:%M")
SPACE = uuid.UUID("6f1d0c3e-53a3-4f6a-9a43-0e4f2d4f7a10")


def move_heads() -> list[str]:
    return [str(head) for head in HEADS.values()]


def move_rows(demonstration: Demonstration) -> Iterator[list[str | int]]:
    """Return every move as a line of the file, the earliest first: one query."""
    zone = demonstration.zone
    for move in Move.objects.of(demonstration).for_page():
        yield [
            f"{move.at.astimezone(zone):%Y-%m-%d %H:%M}",
            move.lot.number,
            str(Place(move.source).label),
            move.to_lot.number,
            str(Place(move.target).label),
            move.beets or "",
            _kg(move.weighed_g),
            _percent(move.moisture_permille),
            _kg(move.dry_g),
            str(Loss(move.loss).label) if move.loss else "",
            str(move.done_by or ""),
            move.note,
            str(_("yes")) if move.weighed_g else "",
            move.reason,
            str(move.key),
        ]


def _kg(grams: int | None) -> str:
    return "" if grams is None else f"{Decimal(grams) / 1000:f}"


def _percent(permille: int | None) -> str:
    return "" if permille is None else f"{Decimal(permille) / 10:f}"


def columns_of(heads: Sequence[str]) -> dict[str, int]:
    """Find our headings among a file's, by their words; the others are left out."""
    ours = {str(words): name for name, words in HEADS.items()}
    plain = [" ".join(head.casefold().split()) for head in heads]
    return {ours[head]: at for at, head in enumerate(plain) if head in ours}


class WrongLineError(ValueError):
    """A line that cannot be a move, with the reason."""


@dataclass(frozen=True, slots=True)
class MoveLine:
    """What one line of a file says, and why it cannot be, if it cannot."""

    number: int
    cells: tuple[str, ...]
    given: dict[str, Any] | None
    why_not: str = ""
    is_there: bool = False


@dataclass(frozen=True, slots=True)
class _Known:
    """What the lines are read against."""

    demonstration: Demonstration
    lots: dict[int, Lot]
    people: dict[str, Volunteer]
    keys: set[uuid.UUID]


def read_lines(
    demonstration: Demonstration, lines: Sequence[TableRow]
) -> list[MoveLine]:
    """Read each line beneath the headings: three queries."""
    heads, *rows = lines
    columns = columns_of(heads.cells)
    known = _Known(
        demonstration,
        {lot.number: lot for lot in Lot.objects.of(demonstration).with_its_pull()},
        {
            one.name.casefold(): one
            for one in Volunteer.objects.of(demonstration).active()
        },
        set(Move.objects.of(demonstration).values_list("key", flat=True)),
    )
    return [_read(row, columns, known) for row in rows]


def _read(row: TableRow, columns: dict[str, int], known: _Known) -> MoveLine:
    cells = {name: row.cells[at].strip() for name, at in columns.items()}
    key = _key(row, cells, known)
    if key in known.keys:
        return MoveLine(row.number, row.cells, None, is_there=True)
    try:
        given = _given(cells, known) | {"key": key}
    except WrongLineError as error:
        return MoveLine(row.number, row.cells, None, str(error))
    return MoveLine(row.number, row.cells, given)


def _key(row: TableRow, cells: dict[str, str], known: _Known) -> uuid.UUID:
    """Return a line's own key, or one of its words and place: twice is once."""
    try:
        return uuid.UUID(cells.get("key", ""))
    except ValueError:
        words = "\n".join([str(known.demonstration.pk), str(row.number), *row.cells])
        return uuid.uuid5(SPACE, words)


def _given(cells: dict[str, str], known: _Known) -> dict[str, Any]:
    if cells.get("reason"):
        raise WrongLineError(
            _("This undoes a move. Correct that on the lot's page instead.")
        )
    source, target = _place(cells, "source"), _place(cells, "target")
    lot = _lot(cells["lot"], known)
    to_lot = _lot(cells["to_lot"], known) if cells.get("to_lot") else lot
    if to_lot == lot and target not in ways_from(source):
        words = _("A lot doesn't go from “%(source)s” to “%(target)s” by hand.")
        raise WrongLineError(words % {"source": source.label, "target": target.label})
    return {
        "lot": lot,
        "source": source,
        "to_lot": to_lot,
        "target": target,
        "loss": _loss(cells.get("loss", "")),
        "at": _moment(cells["when"], known.demonstration.zone),
        "who": _who(cells.get("who", ""), known),
        "note": cells.get("note", ""),
        "sure": bool(cells.get("checked")),
        "amount": _amount(cells),
    }


def _amount(cells: dict[str, str]) -> dict[str, Any]:
    weighed, dry = _grams(cells, "weight_kg"), _grams(cells, "dry_kg")
    beets = cells.get("beets", "")
    if beets and not re.fullmatch(r"\d{1,6}", beets):
        raise WrongLineError(
            _("“%s” isn't a number of beets. Enter one like 12.") % beets
        )
    return {
        "beets": int(beets) if beets else None,
        "weighed_g": weighed,
        "moisture_pct": _number(cells, "moisture"),
        "dry_g": None if weighed else dry,
    }


def _number(cells: dict[str, str], name: str) -> Decimal | None:
    words = cells.get(name, "").replace(",", ".")
    if not words:
        return None
    try:
        number = Decimal(words)
    except InvalidOperation:
        number = Decimal("NaN")
    if not number.is_finite() or not 0 <= number < 1_000_000:
        raise WrongLineError(
            _("“%s” isn't a number. Enter one like 12.5.") % cells[name]
        )
    return number


def _grams(cells: dict[str, str], name: str) -> int | None:
    kg = _number(cells, name)
    return None if kg is None else int(kg * 1000)


def _place(cells: dict[str, str], name: str) -> Place:
    words = " ".join(cells[name].casefold().split())
    for place in Place:
        if words in (place.value, str(place.label).casefold()):
            return place
    said = ", ".join(str(place.label) for place in Place)
    raise WrongLineError(
        _("We don't know the place “%(words)s”. Choose from: %(places)s.")
        % {"words": cells[name], "places": said}
    )


def _lot(words: str, known: _Known) -> Lot:
    number = re.fullmatch(r"(?:lot )?(\d{1,6})(?:\.0)?", words.casefold())
    lot = known.lots.get(int(number[1])) if number else None
    if lot is None:
        raise WrongLineError(_("There's no lot “%s” here.") % words)
    return lot


def _loss(words: str) -> str:
    if not words:
        return ""
    for loss in Loss:
        if words.casefold() in (loss.value, str(loss.label).casefold()):
            return loss.value
    raise WrongLineError(
        _("We don't know the loss “%s”. Use a word from the example file.") % words
    )


def _moment(words: str, zone: ZoneInfo) -> datetime:
    for form in MOMENTS:
        try:
            return datetime.strptime(words, form).replace(tzinfo=zone)
        except ValueError:
            continue
    raise WrongLineError(
        _("We can't read “%s” as a time. Write it like 2026-08-12 18:40.") % words
    )


def _who(words: str, known: _Known) -> Volunteer | None:
    if not words:
        return None
    if words.casefold() not in known.people:
        raise WrongLineError(_("%s is not on the list.") % words)
    return known.people[words.casefold()]
