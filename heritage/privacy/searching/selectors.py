"""Where people write in their own words, and so may name somebody.

Every text of every table is searched, but for those of which a model says why not; and
a model with such a text says on which page it can be changed (`FreeWords`).

Nobody's words are rewritten. Before an erasing every free text of the demonstration is
searched for the person's whole name, address and number, and for parts of the name
apart, whatever accents, case and spacing. An organiser changes each place or leaves it
with a reason; records kept by law, sealed ones and other people's own say so.
"""

import re
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django.db import models
from django.urls import reverse

from heritage.common.privacy import Deleted, Emptied, FreeWords, Holds, texts
from heritage.people.letters.selectors import own_address
from heritage.people.models import Volunteer
from heritage.privacy.selectors import Source, declared, home_path, sources

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
    whole += [r"[\s/().-]*".join(numerals) for numerals in digits if len(numerals) > 5]
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


def _words(patterns: Iterable[str]) -> re.Pattern[str]:
    """Match any of them where no letter or figure of any alphabet touches it."""
    longest_first = sorted(patterns, key=lambda one: (-len(one), one))
    return re.compile(rf"(?<!\w)(?:{'|'.join(longest_first)})(?!\w)")


MOST_SHOWN = 200


@dataclass(frozen=True, slots=True)
class Searched:
    """The texts of one table; ``goes`` leads to a person with whom a row goes."""

    model: type[models.Model]
    words: FreeWords
    fields: tuple[str, ...]
    goes: str


def searched() -> list[Searched]:
    """List every table with texts to search."""
    going = {one.model: one.path for one in sources() if _goes_whole(one)}
    return [
        Searched(model, holds.words, _open_texts(model, holds), going.get(model, ""))
        for model, holds in declared()
        if holds.words
    ]


def _open_texts(model: type[models.Model], holds: type[Holds]) -> tuple[str, ...]:
    return tuple(name for name in texts(model) if name not in holds.unsearched)


def _goes_whole(source: Source) -> bool:
    """Tell whether an erasing leaves none of the words in a person's rows."""
    return any(
        isinstance(one, Deleted | Emptied) and one.which is None
        for one in source.erased
    )


@dataclass(frozen=True, slots=True)
class Place:
    """A row that names somebody, the page to it, and each place in it."""

    source: FreeWords
    url: str
    mentions: tuple[Mention, ...]

    @property
    def is_whole(self) -> bool:
        """Tell whether it is surely them: by their whole name, address or number."""
        return any(one.is_whole for one in self.mentions)


@dataclass(frozen=True, slots=True)
class Named:
    """All rows that name somebody: surely, and perhaps by a part of the name alone."""

    surely: tuple[Place, ...]
    perhaps: tuple[Place, ...]

    @property
    def shown_perhaps(self) -> tuple[Place, ...]:
        return self.perhaps[:MOST_SHOWN]

    @property
    def not_shown(self) -> int:
        return len(self.perhaps) - len(self.shown_perhaps)

    @property
    def asks_why(self) -> bool:
        """Tell whether something is left that an organiser could have changed."""
        return any(not place.source.stays for place in self.surely)


def named(volunteer: Volunteer) -> Named:
    """Look through all free words: one query for each table, however many rows."""
    lines = [volunteer, *volunteer.merged_from.all()]
    sought = _sought(lines)
    if sought is None:
        return Named((), ())
    keys = [line.pk for line in lines]
    places = [
        place
        for table in searched()
        for place in _places(table, volunteer, keys, sought)
    ]
    return Named(
        surely=tuple(place for place in places if place.is_whole),
        perhaps=tuple(place for place in places if not place.is_whole),
    )


def names_them(volunteer: Volunteer, text: str) -> bool:
    """Tell whether a text names somebody whole: one query."""
    sought = _sought([volunteer, *volunteer.merged_from.all()])
    if sought is None:
        return False
    return any(one.is_whole for one in mentions(text, sought))


def _sought(lines: Sequence[Volunteer]) -> Called | None:
    """Return all that somebody goes by on their lines, and on their account."""
    names = [line.name for line in lines] + [own_address(line) for line in lines]
    names += [line.user.name for line in lines if line.user]
    return called(names, numbers=[line.phone for line in lines])


def _places(
    table: Searched, person: Volunteer, keys: Sequence[int], sought: Called
) -> Iterator[Place]:
    home = {str(home_path(table.model)): person.demonstration_id}
    rows = table.model._default_manager.filter(**home)
    if table.goes:
        rows = rows.exclude(**{f"{table.goes}__in": keys})
    width = len(table.fields)
    for values in rows.order_by("pk").values_list(*table.fields, *table.words.takes):
        strings = [words for value in values[:width] for words in _strings(value)]
        mentioned = tuple(one for text in strings for one in mentions(text, sought))
        if mentioned:
            args = [person.demonstration.slug, *values[width:]]
            yield Place(table.words, reverse(table.words.page, args=args), mentioned)


def _strings(value: Any) -> Iterator[str]:
    """Return the words in a field, also where they stand in JSON."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for one in value.values():
            yield from _strings(one)
    elif isinstance(value, list):
        for one in value:
            yield from _strings(one)
