"""What goes into an archive, file by file, each read only when its turn comes."""

import json
from collections.abc import Callable, Iterable, Iterator
from datetime import datetime
from importlib.metadata import version
from typing import Final
from xml.sax.saxutils import escape

from django.db.models.fields.files import FieldFile
from django.template.loader import render_to_string

from heritage.archive.selectors import (
    briefing_versions,
    kept_pictures,
    one_by_one,
    rets,
)
from heritage.archive.site import selectors as site
from heritage.archive.site import sheets as site_sheets
from heritage.archive.taking_in.selectors import (
    HEAD,
    PRIVATE,
    Head,
    Listed,
    account_columns,
    carried_tables,
)
from heritage.briefings.emergency.selectors import emergency_page
from heritage.briefings.emergency.sheets import emergency_sheet
from heritage.briefings.hazards.selectors import risk_sheet
from heritage.briefings.hazards.sheets import risk_sheet as print_risks
from heritage.briefings.selectors import briefing_sheet
from heritage.briefings.sheets import briefing_sheet as print_briefing
from heritage.dam.selectors import ret_page
from heritage.dam.sheets import log_sheet
from heritage.kits.bag import Part
from heritage.kits.imaging import ending_of
from heritage.kits.photo_words import one_line, segments, with_segments
from heritage.kits.tables.write import csv_table
from heritage.pictures.models import Licence, Picture, PictureQuerySet
from heritage.pictures.words import (
    LICENCE_URLS,
    carried,
    file_name,
    rights,
    tool_name,
)
from heritage.privacy.everything.selectors import Table
from heritage.privacy.held.sheets import readme
from heritage.season.models import Demonstration, Stage
from heritage.tally.selectors import book_lines, work_lines
from heritage.tally.sheets import book_csv, book_xlsx
from heritage.tally.statements.selectors import statements
from heritage.tally.statements.sheets import statement_sheet

PIECE: Final = 1024 * 1024
TOLD_EVERY: Final = 25
_DUBLIN_CORE: Final = "http://purl.org/dc/elements/1.1/"


class Contents:
    """Everything that goes into one archive.

    Once all is read, ``shown`` has the pictures that are on the website, and
    ``missing`` the names of files that the store had lost.
    """

    def __init__(
        self, demonstration: Demonstration, now: datetime, tell: Callable[[int], None]
    ) -> None:
        self.demonstration, self.tell = demonstration, tell
        self.local = now.astimezone(demonstration.zone)
        self.shown: list[int] = []
        self.missing: list[str] = []
        self._originals: dict[int, str] = {}

    def parts(self) -> Iterator[Part]:
        """Give every file: for everybody, then for the organiser alone."""
        home, day = self.demonstration, self.local.date()
        words = render_to_string("archive/about.txt", {"home": home, "day": day})
        yield _text("about.txt", [words])
        told = site.story(home, self.local)
        yield from site_sheets.pages(told)
        yield from site_sheets.process_sheets(told, day)
        yield from self._pictures()
        yield from self._records()
        yield from self._tally()
        yield from self._sheets()

    def _pictures(self) -> Iterator[Part]:
        """Give each original and, of what visitors may see, both copies."""
        for number, picture in enumerate(one_by_one(self._kept()), 1):
            yield from self._original(picture)
            if picture.is_published:
                yield from self._copies(picture)
            if number % TOLD_EVERY == 0:
                self.tell(number)

    def _kept(self) -> PictureQuerySet:
        return kept_pictures(self.demonstration)

    def _original(self, picture: Picture) -> Iterator[Part]:
        stored = self._opened(picture.original)
        if stored is None:
            return
        name = file_name(picture, ending_of(stored.read(16)))
        stored.seek(0)
        self._originals[picture.pk] = f"originals/{name}"
        yield Part(f"{PRIVATE}/originals/{name}", _pieces(stored))

    def _copies(self, picture: Picture) -> Iterator[Part]:
        """Give both copies with their words inside, or neither."""
        copies = []
        for size in ("large", "small"):
            stored = self._opened(getattr(picture, size))
            if stored is None:
                return
            with stored:
                copies.append((size, stored.read()))
        self.shown.append(picture.pk)
        said, name = segments(carried(picture)), file_name(picture)
        for size, jpeg in copies:
            path = f"{site_sheets.FOLDER}/pictures/{size}/{name}"
            yield Part(path, with_segments(jpeg, said))

    def _opened(self, field: FieldFile) -> FieldFile | None:
        try:
            field.open("rb")
        except FileNotFoundError:
            self.missing.append(str(field.name))
            return None
        return field

    def _records(self) -> Iterator[Part]:
        folder, all_ = f"{PRIVATE}/records", carried_tables(self.demonstration)
        yield _text(f"{folder}/columns.txt", [readme(all_, self.demonstration)])
        head = Head(version("heritage"), self.local, self._originals)
        for table in all_:
            rows = csv_table(table.heads, table.rows())
            yield _text(f"{folder}/csv/{table.name}", rows)
            name = table.name.removesuffix(".csv")
            yield _text(f"{folder}/json/{name}.json", _as_json(table, head))
        path = f"{folder}/pictures-dublin-core.xml"
        yield _text(path, self._dublin_core())
        yield _text(HEAD, [head.as_json()])

    def _dublin_core(self) -> Iterator[str]:
        yield '<?xml version="1.0" encoding="UTF-8"?>\n'
        yield f'<pictures xmlns:dc="{_DUBLIN_CORE}">\n'
        for picture in one_by_one(self._kept()):
            yield "  <picture>\n"
            for element, words in self._described(picture):
                said = escape(one_line(words))
                yield f"    <dc:{element}>{said}</dc:{element}>\n" if said else ""
            yield "  </picture>\n"
        yield "</pictures>\n"

    def _described(self, picture: Picture) -> Iterator[tuple[str, str]]:
        """Describe a picture by the elements of Dublin Core."""
        home, path = self.demonstration, self._originals.get(picture.pk, "")
        yield "identifier", path
        yield "identifier", f"sha256:{picture.sha256}"
        yield "title", picture.caption
        yield "description", picture.alt_text
        yield "creator", picture.credit
        yield "date", picture.taken_on.isoformat()
        yield "subject", str(Stage(picture.stage).label)
        yield from (("subject", name) for name in tool_name(picture))
        yield "subject", home.crop
        yield "coverage", home.place_name
        yield "publisher", home.name
        yield "type", "StillImage"
        yield "rights", rights(picture)
        yield "rights", LICENCE_URLS[Licence(picture.licence)]

    def _tally(self) -> Iterator[Part]:
        home = self.demonstration
        yield _text(f"{PRIVATE}/tally/tally.csv", book_csv(book_lines(home)))
        book = book_xlsx(book_lines(home), work_lines(home), statements(home))
        yield Part(f"{PRIVATE}/tally/tally.xlsx", [book])

    def _sheets(self) -> Iterator[Part]:
        """Give the sheets as they would be printed on this day."""
        for name, pdf in self._printed():
            yield Part(f"{PRIVATE}/sheets/{name}.pdf", [pdf])

    def _printed(self) -> Iterator[tuple[str, bytes]]:
        home, day = self.demonstration, self.local.date()
        for heard in briefing_versions(home):
            name = f"briefing-{heard.briefing_id}-version-{heard.number}"
            words = briefing_sheet(heard)
            yield name, print_briefing(words, printed_on=day, large_print=False)
        risks = risk_sheet(home, day)
        yield "risk-assessment", print_risks(risks, printed_on=day, large_print=False)
        plan = emergency_page(home)
        yield "emergency", emergency_sheet(plan, printed_on=day, large_print=False)
        for ret in rets(home):
            log = ret_page(ret, self.local)
            pdf = log_sheet(log, printed_at=self.local, large_print=False)
            yield f"dam-log-{ret.pk}", pdf
        people = statements(home)
        if people:
            yield (
                "statements",
                statement_sheet(people, home, printed_on=day, large_print=False),
            )


def _text(path: str, lines: Iterable[str]) -> Part:
    return Part(path, _gathered(lines), is_text=True)


def _gathered(lines: Iterable[str]) -> Iterator[bytes]:
    """Join lines to pieces of some size, so that few are handled."""
    waiting: list[str] = []
    size = 0
    for line in lines:
        waiting.append(line)
        size += len(line)
        if size > PIECE // 4:
            yield "".join(waiting).encode()
            waiting, size = [], 0
    yield "".join(waiting).encode()


def _pieces(stored: FieldFile) -> Iterator[bytes]:
    with stored:
        while piece := stored.read(PIECE):
            yield piece


def _as_json(table: Table, head: Head) -> Iterator[str]:
    """Write a table as one list of objects, each on its line, and count it in."""
    start, count = "[\n", 0
    accounts = account_columns(table.model)
    for row in table.exact():
        yield start + json.dumps(row, ensure_ascii=False)
        start = ",\n"
        count += 1
        head.accounts.update(row[name] for name in accounts if row[name])
    yield "\n]\n" if count else "[]\n"
    head.tables[table.name.removesuffix(".csv")] = Listed(count, table.heads)
