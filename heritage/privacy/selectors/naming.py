"""Finding a name in words somebody typed, whatever its accents, case and spacing."""

import re
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

# A part shorter than this stands in too many other words to be a sign of anybody.
SHORTEST_PART = 3
# How many letters are shown on either side of a name.
AROUND = 45
APOSTROPHES = dict.fromkeys(map(ord, "\u2018\u2019\u02bc\u00b4`"), "'")


@dataclass(frozen=True, slots=True)
class Mention:
    """One place where a name stands, with the words around it."""

    before: str
    found: str
    after: str
    is_whole: bool


@dataclass(frozen=True, slots=True)
class Called:
    """How somebody may be called: whole, by a part of their name, or by a number."""

    whole: re.Pattern[str]
    part: re.Pattern[str] | None


def called(names: Iterable[str], *, numbers: Iterable[str] = ()) -> Called | None:
    """Return what to look for; None where there is no name.

    ``names`` are whole names and addresses; a name's distinct parts are looked for by
    themselves too. Of ``numbers`` only the digits count.
    """
    whole = [_spaced(name) for name in names if name.strip()]
    parts = {
        part
        for name in names
        if "@" not in name
        for part in re.split(r"[\s,.-]+", _plain(name)[0])
        if len(part) >= SHORTEST_PART
    }
    digits = (re.findall(r"\d", number) for number in numbers)
    whole += [r"[\s/().-]*".join(found) for found in digits if len(found) > 5]
    if not whole:
        return None
    return Called(_words(whole), _words(map(re.escape, parts)) if parts else None)


def mentions(text: str, sought: Called) -> Iterator[Mention]:
    """Find each place in a text; a part inside a whole name is found once."""
    plain, places = _plain(text)
    taken: list[tuple[int, int]] = []
    for pattern, is_whole in ((sought.whole, True), (sought.part, False)):
        for match in pattern.finditer(plain) if pattern else ():
            start, end = match.span()
            if not any(begin < end and start < stop for begin, stop in taken):
                taken.append((start, end))
                yield _mention(text, places[start], places[end - 1] + 1, is_whole)


def _mention(text: str, start: int, end: int, is_whole: bool) -> Mention:
    # An accent typed apart belongs to the letter before it.
    while end < len(text) and unicodedata.combining(text[end]):
        end += 1
    low, high = max(0, start - AROUND), min(len(text), end + AROUND)
    return Mention(
        before=("…" if low else "") + " ".join(text[low:start].split("\n")),
        found=text[start:end],
        after=" ".join(text[end:high].split("\n")) + ("…" if high < len(text) else ""),
        is_whole=is_whole,
    )


def _plain(text: str) -> tuple[str, list[int]]:
    """Return a text without accents and case, and where each letter of it stood."""
    letters: list[str] = []
    places: list[int] = []
    for place, letter in enumerate(text):
        apart = unicodedata.normalize("NFKD", letter.translate(APOSTROPHES))
        for one in apart.casefold():
            if not unicodedata.combining(one):
                letters.append(one)
                places.append(place)
    return "".join(letters), places


def _spaced(name: str) -> str:
    """Let a name's words stand apart by any space or a hyphen."""
    words = re.split(r"[\s-]+", _plain(name)[0].strip())
    return r"[\s-]+".join(map(re.escape, words))


def _words(found: Iterable[str]) -> re.Pattern[str]:
    """Match any of them where no letter or figure of any alphabet touches it."""
    longest_first = sorted(found, key=lambda one: (-len(one), one))
    return re.compile(rf"(?<!\w)(?:{'|'.join(longest_first)})(?!\w)")
