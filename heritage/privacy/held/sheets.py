"""What is held, to take away: about one person, or everything in one archive."""

import json
from collections.abc import Sequence
from datetime import UTC, date, datetime
from tempfile import SpooledTemporaryFile
from typing import IO
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

from django.utils.translation import gettext as _

from heritage.common import sheets as paper_sheet
from heritage.kits.paper import blocks as paper
from heritage.kits.tables.write import csv_table
from heritage.privacy.everything.selectors import Table
from heritage.privacy.held.selectors import Held, Part, shown
from heritage.privacy.selectors import Value
from heritage.season.models import Demonstration

MOST_COLUMNS = 4
MOST_IN_MEMORY = 4 * 1024 * 1024


def held_file(page: Held) -> bytes:
    """Return everything as JSON: keys explained beside the rows, times in ISO 8601.

    The same record gives the same bytes.
    """
    content = {
        "demonstration": page.demonstration.name,
        "person": page.volunteer.name,
        "made_at": _plain(page.made_at),
        "parts": [_part(part) for part in page.parts],
    }
    return (json.dumps(content, ensure_ascii=False, indent=2) + "\n").encode()


def _part(part: Part) -> dict[str, object]:
    keys = [key for key, _words in part.columns]
    return {
        "key": part.key,
        "title": part.title,
        "why": part.why,
        "columns": dict(part.columns),
        "rows": [dict(zip(keys, map(_plain, row), strict=True)) for row in part.rows],
    }


def _plain(value: Value) -> str | int | bool | None:
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat(timespec="seconds")
    if isinstance(value, date):
        return value.isoformat()
    return value


def held_sheet(page: Held, *, printed_on: date, large_print: bool) -> bytes:
    """Return everything as a printed sheet: the same parts in the same order."""
    blocks: list[paper.Block] = [
        paper.Para(
            _(
                "This is all that %(demonstration)s keeps about you, on "
                "the day it was printed. You may have it corrected, take an agreement "
                "back, or ask us to delete it."
            )
            % {"demonstration": page.demonstration.name}
        )
    ]
    for part in page.parts:
        blocks += _printed(part, page)
    return paper_sheet.sheet(
        title=_("%s: your data") % page.volunteer.name,
        subtitle=page.demonstration.name,
        large_print=large_print,
        blocks=blocks,
        footer=paper.Footer(
            owner=page.demonstration.name,
            version=_("Printed %s") % f"{printed_on:%d %B %Y}",
        ),
    )


def _printed(part: Part, page: Held) -> list[paper.Block]:
    rows = [[shown(value, page.demonstration) for value in row] for row in part.rows]
    words = [label.capitalize() for _key, label in part.columns]
    blocks: list[paper.Block] = []
    if len(rows) == 1 or len(words) > MOST_COLUMNS:
        # A line of paper holds few columns: wide rows stand as lists of facts.
        blocks += [paper.Facts(list(zip(words, row, strict=True))) for row in rows]
    else:
        blocks.append(paper.Table(words, rows))
    # No heading is left at the foot of a page without its first rows.
    head: list[paper.Block] = [paper.Heading(part.title), paper.Para(part.why)]
    head.append(blocks[0])
    return [paper.Together(head), *blocks[1:]]


def everything(
    tables: Sequence[Table], demonstration: Demonstration, now: datetime
) -> IO[bytes]:
    """Return one zip: a CSV for each table, and what each column means.

    It is written to a file as soon as it outgrows a little memory, row by row.
    """
    file: IO[bytes] = SpooledTemporaryFile(max_size=MOST_IN_MEMORY)  # noqa: SIM115
    try:
        with ZipFile(file, "w", ZIP_DEFLATED) as archive:
            archive.writestr(_member("README.txt", now), readme(tables, demonstration))
            for table in tables:
                _fill(archive, table, now)
        file.seek(0)
    except BaseException:
        file.close()
        raise
    return file


def _fill(archive: ZipFile, table: Table, now: datetime) -> None:
    heads = [column.name for column in table.columns]
    with archive.open(_member(table.name, now), "w") as member:
        for line in csv_table(heads, table.rows()):
            member.write(line.encode())


def _member(name: str, now: datetime) -> ZipInfo:
    member = ZipInfo(name, now.timetuple()[:6])
    member.compress_type = ZIP_DEFLATED
    return member


def readme(tables: Sequence[Table], demonstration: Demonstration) -> str:
    """Say what each table and each of its columns holds."""
    lines = [
        demonstration.name,
        "",
        _("Each file is one table. Moments are in UTC. Text that a spreadsheet might"),
        _("take for a formula begins with an apostrophe. Keep this where only those"),
        _("who need it can read it, and delete it when it has served."),
    ]
    for table in tables:
        lines += ["", table.name, table.words]
        lines += [f"  {column.name}: {column.words}" for column in table.columns]
    return "\n".join(lines) + "\n"
