"""Where somebody's name stands in words that others wrote."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django.apps import apps
from django.urls import reverse

from heritage.people.models import Volunteer
from heritage.people.selectors import own_address
from heritage.privacy.selectors.everything import path_of
from heritage.privacy.selectors.free_words import SEARCHED, FreeWords
from heritage.privacy.selectors.naming import Called, Mention, called, mentions

MOST_SHOWN = 200


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
    found = [
        place
        for source in SEARCHED
        for place in _places(source, volunteer, keys, sought)
    ]
    return Named(
        surely=tuple(place for place in found if place.is_whole),
        perhaps=tuple(place for place in found if not place.is_whole),
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
    source: FreeWords, person: Volunteer, keys: Sequence[int], sought: Called
) -> Iterator[Place]:
    model = apps.get_model(source.table)
    rows = model._default_manager.filter(
        **{str(path_of(model)): person.demonstration_id}
    )
    if source.goes:
        rows = rows.exclude(**{f"{source.goes}__in": keys})
    width = len(source.fields)
    for values in rows.order_by("pk").values_list(*source.fields, *source.args):
        texts = [words for value in values[:width] for words in _strings(value)]
        found = tuple(one for text in texts for one in mentions(text, sought))
        if found:
            args = [person.demonstration.slug, *values[width:]]
            yield Place(source, reverse(source.view, args=args), found)


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
