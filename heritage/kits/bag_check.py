"""Is a bag still whole? Every file of a zipped bag read and compared (RFC 8493, 3).

A zip may come from anywhere, so nothing of it is read before its list says that each
file is a plain one and unpacks to no more than a text could (`is_outsized`), and that
the list itself is no longer than `LONGEST_LIST`. What is read is read piece by piece.
"""

import codecs
import hashlib
import re
import stat
import struct
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from typing import IO, Final
from zipfile import BadZipFile, ZipFile, ZipInfo
from zlib import error as DeflateError  # noqa: N812 - it is an exception

from heritage.kits.bag import CODED, PAYLOAD, TAG_MANIFEST, is_safe

VERSIONS: Final = {"0.97", "1.0"}
ALGORITHMS: Final = {"md5", "sha1", "sha256", "sha384", "sha512"}
PIECE: Final = 1024 * 1024
# A zip's own list takes some 150 bytes for each of its files.
LONGEST_LIST: Final = 64 * PIECE
SAID_BEFORE: Final = 0xFFFFFFFF
# A bag's own lists are read whole: some 250 bytes for each of its files.
LONGEST_TEXT: Final = 128 * PIECE
# Rows that are much alike are packed fifty to one; nothing honest is packed so small.
MOST_PACKED: Final = 200
_MANIFEST: Final = re.compile(r"(tag)?manifest-([a-z0-9]+)\.txt")
_LISTED: Final = re.compile(r"([0-9A-Fa-f]+)[ \t]+\*?(.+)")
_DECLARED: Final = re.compile(
    r"BagIt-Version: (\d+\.\d+)\nTag-File-Character-Encoding: (\S+)\n?"
)
_PLAIN: Final = {code.lower(): sign for sign, code in CODED.items()}
# A reader that is fed nonsense may stumble over any of these.
_UNREADABLE: Final = (
    BadZipFile, DeflateError, OSError, EOFError, ValueError, RuntimeError, struct.error
)  # fmt: skip


class Wrong(StrEnum):
    """What can be wrong with a bag."""

    NO_BAG = "no_bag"
    DECLARATION = "declaration"
    NO_MANIFEST = "no_manifest"
    LINE = "line"
    PATH = "path"
    TWICE = "twice"
    MISSING = "missing"
    UNLISTED = "unlisted"
    CHANGED = "changed"
    OXUM = "oxum"
    REPLACED = "replaced"
    NO_FILE = "no_file"
    OUTSIZED = "outsized"


# With one of these nothing of a bag is read.
UNSAFE: Final = frozenset({Wrong.NO_FILE, Wrong.OUTSIZED})


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that is wrong, and with which file."""

    wrong: Wrong
    path: str = ""


@dataclass(frozen=True, slots=True)
class Report:
    """What a check found; ``mark`` as `heritage.kits.bag.Bag` gives it."""

    findings: tuple[Finding, ...]
    files: int = 0
    octets: int = 0
    mark: str = ""

    @property
    def is_whole(self) -> bool:
        return not self.findings


@dataclass(frozen=True, slots=True)
class _Manifest:
    """A list of hashes: its file, its algorithm, and what it lists."""

    path: str
    algorithm: str
    listed: dict[str, str]

    @property
    def is_of_tags(self) -> bool:
        return self.path.startswith("tag")


def check(file: IO[bytes], *, mark: str = "") -> Report:
    """Read a zipped bag through and compare every file with its hashes.

    With a ``mark`` that was kept elsewhere a bag that was changed and listed anew is
    found out too.
    """
    try:
        size = _require_short_list(file)
        with ZipFile(file) as archive:
            return _Check(archive, size).report(mark)
    except _UNREADABLE:
        return Report((Finding(Wrong.NO_BAG),))


def _require_short_list(file: IO[bytes]) -> int:
    """Return a zip's size, once the list at its end is short enough to be read.

    Raises
    ------
    BadZipFile
        If there is no list, or its length is beyond reason.
    """
    size = file.seek(0, 2)
    file.seek(max(0, size - 65_557))
    tail = file.read()
    at = tail.rfind(b"PK\x05\x06")
    if at < 0 or len(tail) < at + 22:
        raise BadZipFile
    lengths = list(struct.unpack_from("<L", tail, at + 12))
    # Of a large zip the true length stands in a record before this one.
    for larger in re.finditer(rb"PK\x06\x06", tail[:at]):
        lengths += struct.unpack_from("<Q", tail, larger.start() + 40)
    if any(LONGEST_LIST < length != SAID_BEFORE for length in lengths):
        raise BadZipFile
    return size


def files_of(archive: ZipFile) -> tuple[dict[str, ZipInfo], list[Finding]]:
    """Return the files by their path in the one folder that is the bag, and what's odd.

    Without a folder, or with two, there is none.
    """
    entries = [one for one in archive.infolist() if not one.is_dir()]
    files: dict[str, ZipInfo] = {}
    findings: list[Finding] = []
    if len({one.filename.partition("/")[0] for one in entries}) != 1:
        return files, findings
    for entry in entries:
        path = entry.filename.partition("/")[2]
        if not is_safe(path):
            findings.append(Finding(Wrong.PATH, entry.filename))
        elif path in files:
            findings.append(Finding(Wrong.TWICE, path))
        else:
            files[path] = entry
            kind = stat.S_IFMT(entry.external_attr >> 16)
            if kind not in (0, stat.S_IFREG):
                findings.append(Finding(Wrong.NO_FILE, path))
            if is_outsized(entry.file_size, entry.compress_size):
                findings.append(Finding(Wrong.OUTSIZED, path))
    return files, findings


def is_outsized(size: int, packed: int) -> bool:
    """Tell whether a file unpacks to more than anything honest does [bytes]."""
    return size > PIECE and size > MOST_PACKED * packed


class _Check:
    def __init__(self, archive: ZipFile, size: int) -> None:
        self.archive = archive
        self.encoding = "utf-8"
        self.octets = 0
        self.files, self.findings = files_of(archive)
        # Files that lie over each other in a zip are together larger than it.
        if sum(one.compress_size for one in self.files.values()) > size:
            self._say(Wrong.OUTSIZED)

    def report(self, mark: str) -> Report:
        if not self.files:
            return Report((Finding(Wrong.NO_BAG),))
        if any(one.wrong in UNSAFE for one in self.findings):
            return Report(tuple(self.findings), len(self.files))
        self._declaration()
        payload = [path for path in self.files if path.startswith(PAYLOAD)]
        manifests = list(self._manifests())
        if all(one.is_of_tags for one in manifests):
            self._say(Wrong.NO_MANIFEST)
        for manifest in manifests:
            self._complete(manifest, payload)
        self._unchanged(manifests)
        self._oxum(len(payload))
        found = self._mark()
        if mark and found != mark:
            self._say(Wrong.REPLACED, TAG_MANIFEST)
        # One missing file may be told of by several lists.
        findings = tuple(dict.fromkeys(self.findings))
        return Report(findings, len(payload), self.octets, found)

    def _say(self, wrong: Wrong, path: str = "") -> None:
        self.findings.append(Finding(wrong, path))

    def _declaration(self) -> None:
        text = self._text("bagit.txt", "utf-8")
        declared = _DECLARED.fullmatch(text or "")
        if declared is None or declared[1] not in VERSIONS:
            self._say(Wrong.DECLARATION, "bagit.txt")
            return
        try:
            codecs.lookup(declared[2])
        except LookupError:
            self._say(Wrong.DECLARATION, "bagit.txt")
        else:
            self.encoding = declared[2]

    def _text(self, path: str, encoding: str = "") -> str | None:
        """Return a tag file's words, its lines ended by one sign; None where none."""
        if path not in self.files:
            return None
        if self.files[path].file_size > LONGEST_TEXT:
            self._say(Wrong.OUTSIZED, path)
            return None
        try:
            text = self.archive.read(self.files[path]).decode(encoding or self.encoding)
        except _UNREADABLE:
            self._say(Wrong.CHANGED, path)
            return None
        return text.replace("\r\n", "\n").replace("\r", "\n")

    def _manifests(self) -> Iterator[_Manifest]:
        for path in self.files:
            named = _MANIFEST.fullmatch(path)
            if named and named[2] in ALGORITHMS:
                yield _Manifest(path, named[2], self._listed(path))

    def _listed(self, manifest: str) -> dict[str, str]:
        listed: dict[str, str] = {}
        for line in filter(None, (self._text(manifest) or "").split("\n")):
            parts = _LISTED.fullmatch(line)
            if parts is None:
                self._say(Wrong.LINE, manifest)
                continue
            path = re.sub(
                "(?i)%(25|0d|0a)", lambda code: _PLAIN[code[0].lower()], parts[2]
            )
            if not is_safe(path) or not self._belongs(path, manifest):
                self._say(Wrong.PATH, path)
            elif path in listed:
                self._say(Wrong.TWICE, path)
            else:
                listed[path] = parts[1].lower()
        return listed

    def _belongs(self, path: str, manifest: str) -> bool:
        """Tell whether a list may name a file: of its own kind only."""
        if manifest.startswith("tag"):
            return not path.startswith((PAYLOAD, "tagmanifest-"))
        return path.startswith(PAYLOAD)

    def _complete(self, manifest: _Manifest, payload: list[str]) -> None:
        """Find what is listed and not there, and what is there and not listed."""
        for path in manifest.listed:
            if path not in self.files:
                self._say(Wrong.MISSING, path)
        if not manifest.is_of_tags:
            for path in payload:
                if path not in manifest.listed:
                    self._say(Wrong.UNLISTED, path)

    def _unchanged(self, manifests: list[_Manifest]) -> None:
        """Read each file once, and compare it with all that is said of it."""
        for path, entry in self.files.items():
            said = [
                (one.algorithm, one.listed[path])
                for one in manifests
                if path in one.listed
            ]
            found = self._hashed(path, entry, {name for name, _digest in said})
            if any(found.get(name) != digest for name, digest in said):
                self._say(Wrong.CHANGED, path)

    def _hashed(self, path: str, entry: ZipInfo, names: set[str]) -> dict[str, str]:
        """Return a file's hashes; none where it cannot be read."""
        digests = {name: hashlib.new(name) for name in names}
        try:
            with self.archive.open(entry) as file:
                while piece := file.read(PIECE):
                    for digest in digests.values():
                        digest.update(piece)
                    if path.startswith(PAYLOAD):
                        self.octets += len(piece)
        except _UNREADABLE:
            self._say(Wrong.CHANGED, path)
            return {}
        return {name: digest.hexdigest() for name, digest in digests.items()}

    def _oxum(self, files: int) -> None:
        """Compare the count of bytes and files with what the bag says of itself.

        Where a file was found wrong the count is too, and says nothing more.
        """
        if self.findings:
            return
        text = self._text("bag-info.txt") or ""
        said = re.search(r"(?im)^payload-oxum:[ \t]*(\S+)", text)
        if said and said[1] != f"{self.octets}.{files}":
            self._say(Wrong.OXUM, "bag-info.txt")

    def _mark(self) -> str:
        entry = self.files.get(TAG_MANIFEST)
        if entry is None or entry.file_size > LONGEST_TEXT:
            return ""
        try:
            data = self.archive.read(entry)
        except _UNREADABLE:
            return ""
        return hashlib.sha512(data).hexdigest()
