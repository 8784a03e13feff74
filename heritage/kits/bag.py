"""Bags (BagIt, RFC 8493): files beside a list of their hashes, as one zip.

A bag is written piece by piece as its reader asks for it, so it may be far larger than
the memory. Its own lists come last, once every hash is known. What is a picture already
is stored as it is; text is made smaller.
"""

import hashlib
from collections.abc import Generator, Iterable, Iterator, Sequence
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from dataclasses import dataclass
from datetime import datetime
from typing import IO, Final
from zipfile import ZIP_DEFLATED, ZIP_STORED, ZipFile, ZipInfo

DECLARATION: Final = b"BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"
MANIFEST: Final = "manifest-sha512.txt"
TAG_MANIFEST: Final = "tagmanifest-sha512.txt"
PAYLOAD: Final = "data/"
# A smaller piece is hashed before it could be handed over.
WORTH_IT: Final = 64 * 1024
# What a line of a manifest cannot hold as it is (RFC 8493, 2.1.3).
CODED: Final = {"%": "%25", "\r": "%0D", "\n": "%0A"}


@dataclass(frozen=True, slots=True)
class Part:
    """One file of a bag: its path below ``data/``, and its bytes piece by piece."""

    path: str
    pieces: Iterable[bytes]
    is_text: bool = False


class Bag:
    """One bag, written as its pieces are asked for.

    Afterwards ``files`` and ``octets`` say what it holds, and ``mark`` is the hash of
    the list that all other lists are in: whoever keeps it can tell every change.
    """

    def __init__(
        self,
        name: str,
        parts: Iterable[Part],
        *,
        info: Sequence[tuple[str, str]],
        moment: datetime,
    ) -> None:
        self.name, self.parts, self.info, self.moment = name, parts, info, moment
        self.files = self.octets = 0
        self.mark = ""

    def pieces(self) -> Iterator[bytes]:
        """Give the zip piece by piece.

        Raises
        ------
        ValueError
            If a path leads out of the bag, or two files have the same.
        """
        sink = _Sink()
        listed: dict[str, str] = {}
        with (
            ThreadPoolExecutor(1) as beside,
            ZipFile(sink, "w") as archive,  # type: ignore[call-overload]
        ):
            for part in self.parts:
                path = PAYLOAD + part.path
                if not is_safe(path) or path in listed:
                    raise ValueError(f"no path for a file of a bag: {part.path}")
                with archive.open(self._member(path, part.is_text), "w") as file:
                    listed[path] = yield from self._copied(part, file, sink, beside)
            for path, text in self._tag_files(listed).items():
                archive.writestr(self._member(path, is_text=True), text)
        yield from sink.taken()

    def _member(self, path: str, is_text: bool) -> ZipInfo:
        member = ZipInfo(f"{self.name}/{path}", self.moment.timetuple()[:6])
        member.compress_type = ZIP_DEFLATED if is_text else ZIP_STORED
        member.external_attr = 0o644 << 16
        return member

    def _copied(
        self, part: Part, file: IO[bytes], sink: "_Sink", beside: Executor
    ) -> Generator[bytes, None, str]:
        """Copy one file, giving what comes of it; return its hash."""
        digest = _Digest(beside)
        for piece in part.pieces:
            digest.take(piece)
            file.write(piece)
            self.octets += len(piece)
            yield from sink.taken()
        self.files += 1
        return digest.whole()

    def _tag_files(self, listed: dict[str, str]) -> dict[str, bytes]:
        """Return the bag's own files, the list of them last."""
        info = [*self.info, ("Payload-Oxum", f"{self.octets}.{self.files}")]
        said = "".join(f"{key}: {_line(words)}\n" for key, words in info)
        tags = {
            "bagit.txt": DECLARATION,
            "bag-info.txt": said.encode(),
            MANIFEST: _manifest(listed).encode(),
        }
        found = {path: hashlib.sha512(data).hexdigest() for path, data in tags.items()}
        last = _manifest(found).encode()
        self.mark = hashlib.sha512(last).hexdigest()
        return tags | {TAG_MANIFEST: last}


class _Digest:
    """A hash, worked out beside what else is done with each piece.

    Hashing takes longer than all the rest, and leaves the interpreter free meanwhile.
    """

    def __init__(self, beside: Executor) -> None:
        self._sha512, self._beside = hashlib.sha512(), beside
        self._going: Future[None] | None = None

    def take(self, piece: bytes) -> None:
        self._wait()
        if len(piece) < WORTH_IT:
            self._sha512.update(piece)
        else:
            self._going = self._beside.submit(self._sha512.update, piece)

    def whole(self) -> str:
        self._wait()
        return self._sha512.hexdigest()

    def _wait(self) -> None:
        if self._going:
            self._going.result()
            self._going = None


class _Sink:
    """Where the zip is written: kept until somebody takes it."""

    def __init__(self) -> None:
        self._waiting: list[bytes] = []

    def write(self, data: bytes) -> int:
        self._waiting.append(data)
        return len(data)

    def flush(self) -> None:
        """Do nothing: what is written is there."""

    def taken(self) -> Iterator[bytes]:
        waiting, self._waiting = self._waiting, []
        yield from waiting


def is_safe(path: str) -> bool:
    """Tell whether a path stays inside the bag, on any system (RFC 8493, 5.1)."""
    steps = path.split("/")
    return not (
        path.startswith(("/", "~"))
        or "\\" in path
        or ":" in path
        or any(step in ("", ".", "..") for step in steps)
    )


def _manifest(listed: dict[str, str]) -> str:
    return "".join(f"{digest}  {_coded(path)}\n" for path, digest in listed.items())


def _coded(path: str) -> str:
    return "".join(CODED.get(sign, sign) for sign in path)


def _line(text: str) -> str:
    return " ".join(text.split())
