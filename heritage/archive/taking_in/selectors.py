"""What a package says of itself, and its records read back a row at a time.

The JSON files of a package say every value exactly, and ``package.json`` beside them
lists them: how many rows, which columns, which accounts they speak of, and where each
picture's original lies. A package without it was made before there was a way back.
"""

import json
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass, field
from datetime import datetime
from typing import IO, Any, Final
from zipfile import ZipFile

from django.core.exceptions import ValidationError
from django.db import models
from django.utils.translation import gettext as _

from heritage.archive.words import FINDINGS
from heritage.common.making import Making
from heritage.kits.bag import MANIFEST, PAYLOAD
from heritage.kits.bag_check import Finding, Wrong, check, files_of
from heritage.people.models import User
from heritage.privacy.everything.selectors import Table, tables
from heritage.season.models import Demonstration

PRIVATE: Final = "organiser-only"
HEAD: Final = f"{PRIVATE}/records/package.json"
FORMAT: Final = 1
LONGEST_HEAD: Final = 16 * 1024 * 1024
LONGEST_ROW: Final = 8 * 1024 * 1024
FINDINGS_SAID: Final = 5


@dataclass(frozen=True, slots=True)
class Listed:
    """How many rows of a table a package holds, and which columns they have."""

    rows: int
    columns: list[str]


@dataclass(frozen=True, slots=True)
class Head:
    """What a package's records are, filled in while they are written.

    ``originals`` are paths below the organiser's folder, by a picture's number.
    """

    release: str
    made_at: datetime
    originals: dict[int, str]
    tables: dict[str, Listed] = field(default_factory=dict)
    accounts: set[int] = field(default_factory=set)

    def as_json(self) -> str:
        said = asdict(self) | {"format": FORMAT, "accounts": sorted(self.accounts)}
        return json.dumps(said, default=str, indent=1, ensure_ascii=False) + "\n"


def carried_tables(demonstration: Demonstration) -> list[Table]:
    """List the tables that a package carries: all but of what was made beside them."""
    listed = tables(demonstration)
    return [one for one in listed if not issubclass(one.model, Making)]


def account_columns(model: type[models.Model]) -> list[str]:
    """Return the columns that lead to an account."""
    return [
        one.attname
        for one in model._meta.concrete_fields
        if one.is_relation and one.related_model is User
    ]


def why_not_here() -> str:
    """Say why no package can be taken in here; nothing where it can."""
    if Demonstration.objects.exists():
        return _(
            "This site has a demonstration already. An archive goes into an empty site "
            "alone, so that nothing is overwritten."
        )
    if User.objects.filter(is_staff=False).exists():
        return _(
            "Somebody has made an account here already. An archive goes into an empty "
            "site alone, with no accounts but its keepers'."
        )
    return ""


class Package:
    """A package that was found whole, and whose tables this site knows."""

    def __init__(self, archive: ZipFile) -> None:
        self._archive, self._files = archive, files_of(archive)[0]
        self.head = self._head()
        known = carried_tables(Demonstration(pk=0))
        self.tables = {one.name.removesuffix(".csv"): one for one in known}
        self._require_known()

    def rows(self, name: str) -> Iterator[dict[str, Any]]:
        """Read a table's rows one by one, of which only one is held.

        Raises
        ------
        ValidationError
            If a row cannot be read, or there are more or fewer than the head says.
        """
        listed, count = self.head.tables[name], 0
        columns = set(listed.columns)
        with self._open(f"{PRIVATE}/records/json/{name}.json") as file:
            while line := file.readline(LONGEST_ROW):
                words = line.strip().rstrip(b",")
                if words in (b"[", b"]", b"[]"):
                    continue
                row = _read_json(words, name)
                if not isinstance(row, dict) or row.keys() != columns:
                    raise unreadable(name)
                count += 1
                yield row
        if count != listed.rows:
            raise unreadable(name)

    def original(self, picture: int, most: int) -> bytes | None:
        """Return a picture's original; None where it is not carried or too large."""
        path = self.head.originals.get(picture)
        entry = self._files.get(f"{PAYLOAD}{PRIVATE}/{path}")
        if entry is None or entry.file_size > most:
            return None
        return self._archive.read(entry)

    def as_usual(self) -> list[str]:
        """Say which columns the package has not: they get their usual value."""
        return [
            f"{table.model._meta.verbose_name_plural}: {one.verbose_name}"
            for name, table in self.tables.items()
            for one in table.model._meta.concrete_fields
            if one.attname in table.heads and one.attname not in self._columns(name)
        ]

    def _columns(self, name: str) -> list[str]:
        listed = self.head.tables.get(name)
        return listed.columns if listed else []

    def _open(self, path: str) -> IO[bytes]:
        entry = self._files.get(PAYLOAD + path)
        if entry is None:
            raise unreadable(path)
        return self._archive.open(entry)

    def _head(self) -> Head:
        if PAYLOAD + HEAD not in self._files:
            raise ValidationError(
                _(
                    "This archive can't be brought back: the list of its records is "
                    "missing (%s). You can still open and read it. Make a new one on "
                    "the site it came from."
                )
                % HEAD
            )
        with self._open(HEAD) as file:
            said = _read_json(file.read(LONGEST_HEAD), HEAD)
        try:
            if said["format"] != FORMAT:
                raise _of_another_release(str(said["release"]), "package.json")
            return Head(
                release=str(said["release"]),
                made_at=datetime.fromisoformat(said["made_at"]),
                originals={int(key): str(at) for key, at in said["originals"].items()},
                tables={str(k): Listed(**one) for k, one in said["tables"].items()},
                accounts={int(number) for number in said["accounts"]},
            )
        except (KeyError, TypeError, ValueError, AttributeError) as error:
            raise unreadable(HEAD) from error

    def _require_known(self) -> None:
        for name, listed in self.head.tables.items():
            heads = self.tables[name].heads if name in self.tables else []
            unknown = [one for one in listed.columns if one not in heads]
            if unknown or name not in self.tables:
                what = f"{name} {' '.join(unknown[:FINDINGS_SAID])}".rstrip()
                raise _of_another_release(self.head.release, what)


@contextmanager
def opened(file: IO[bytes]) -> Iterator[Package]:
    """Open a package, once every file in it was read and compared with its hash.

    Raises
    ------
    ValidationError
        If it is not whole, or not one that this site can take in.
    """
    report = check(file)
    if not report.is_whole:
        raise _not_whole(report.findings)
    with ZipFile(file) as archive:
        # It may be whole by a weaker list alone.
        if MANIFEST not in files_of(archive)[0]:
            raise _not_whole([Finding(Wrong.NO_MANIFEST)])
        yield Package(archive)


def unreadable(what: str) -> ValidationError:
    """Say which part of a package is not as it should be."""
    return ValidationError(_("The archive holds something unexpected: %s.") % what)


def _not_whole(findings: Any) -> ValidationError:
    said = [f"{FINDINGS[one.wrong]} {one.path}".rstrip() for one in findings]
    words = _("The archive is damaged, so nothing was taken in.")
    return ValidationError([words, *said[:FINDINGS_SAID]])


def _of_another_release(release: str, what: str) -> ValidationError:
    words = _(
        "This archive was made by release %(release)s, which has what this one has not "
        "(%(what)s). Take it in with that release, then update the site."
    )
    return ValidationError(words % {"release": release, "what": what})


def _read_json(words: bytes, what: str) -> Any:
    try:
        return json.loads(words)
    except (ValueError, RecursionError) as error:
        raise unreadable(what) from error
