"""Incidents as their readers may see them: an organiser all, a reporter their own."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.utils.translation import gettext as _

from heritage.people.models import User
from heritage.safety.models import (
    Evidence,
    Incident,
    IncidentChange,
    IncidentKind,
    IncidentQuerySet,
    LostChild,
    Witness,
)
from heritage.safety.selectors.incident_words import (
    ORGANISER_FIELDS,
    changes_of,
    label_of,
    own_words,
    words_for,
)
from heritage.safety.selectors.keeping import Keeping, keeping_of
from heritage.safety.selectors.reporting import Advice, advice_on
from heritage.season.models import Demonstration

HARM = frozenset({IncidentKind.INJURY, IncidentKind.ILLNESS})


@dataclass(frozen=True, slots=True)
class Fact:
    """One thing written of an incident, in words."""

    label: str
    words: str


@dataclass(frozen=True, slots=True)
class ChangeLine:
    """One change: what it was before and is since, by whom, when."""

    at: datetime
    by: User
    what: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True)
class IncidentPage:
    """One incident; ``is_whole`` for an organiser, else only the reader's own words."""

    incident: Incident
    is_whole: bool
    may_change: bool
    kind: str
    happened_at: datetime
    place: str
    account: str
    facts: tuple[Fact, ...]
    witnesses: tuple[Witness, ...]
    photographs: tuple[Evidence, ...]
    changes: tuple[ChangeLine, ...]
    advice: Advice
    keeping: Keeping
    unfinished: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class IncidentLine:
    """One incident in the list, with its place as the reader may know it."""

    incident: Incident
    place: str


@dataclass(frozen=True, slots=True)
class Register:
    """The incidents of a period, for the register."""

    demonstration: Demonstration
    first: date
    last: date
    rows: tuple[Incident, ...]


@dataclass(frozen=True, slots=True)
class OpenMatters:
    """How many incidents and children's logs wait for an organiser."""

    incidents: int
    children: int


def incident_lines(rows: IncidentQuerySet, *, whole: bool) -> tuple[IncidentLine, ...]:
    """List what the reader's own door lets through, the newest first: two queries.

    Whoever reported one reads where it was in their own words.
    """
    found = rows.select_related("reported_by").prefetch_related("changes")
    lines = []
    for row in found.newest_first():
        own = own_words(row, row.changes.all())
        place = row.place if whole else own["place"]
        lines.append(IncidentLine(row, place))
    return tuple(lines)


def incident_page(incident: Incident, user: User, *, whole: bool) -> IncidentPage:
    """Return an incident as its reader may see it: three queries."""
    made = changes_of(incident)
    own = own_words(incident, made)
    said = {name: getattr(incident, name) for name in ORGANISER_FIELDS}
    shown = said if whole else own
    mine = {} if whole else {"added_by": user}
    return IncidentPage(
        incident=incident,
        is_whole=whole,
        may_change=whole or incident.completed_at is None,
        kind=str(IncidentKind(shown["kind"]).label),
        happened_at=shown["happened_at"],
        place=shown["place"],
        account=shown["account"],
        facts=tuple(_facts(shown)),
        witnesses=tuple(incident.witnesses.filter(**mine).order_by("pk")),
        photographs=tuple(incident.evidence.filter(**mine).order_by("added_at", "pk")),
        changes=_change_lines(made if whole else [m for m in made if m.by == user]),
        advice=advice_on(incident),
        keeping=keeping_of(incident),
        unfinished=reasons_not_to_finish(incident),
    )


def reasons_not_to_finish(incident: Incident) -> tuple[str, ...]:
    """Say what an incident lacks before it can be called complete."""
    lacks = []
    if incident.kind in HARM:
        if not incident.who:
            lacks.append(_("Say who was hurt or taken ill."))
        if not incident.injury:
            lacks.append(_("Describe the injury or illness."))
        if not (incident.told_authority_on or incident.not_told_why):
            lacks.append(_("Write down whether it was reported, or why not."))
    if not incident.done:
        lacks.append(_("Say what was done at once."))
    if not incident.learnt:
        lacks.append(_("Say what changes because of it, even if nothing does."))
    return tuple(lacks)


def register(demonstration: Demonstration, first: date, last: date) -> Register:
    """Return the incidents of a period, the oldest first: one query."""
    rows = Incident.objects.of(demonstration).between(first, last, demonstration.zone)
    return Register(demonstration, first, last, tuple(rows.oldest_first()))


def open_matters(demonstration: Demonstration) -> OpenMatters:
    """Count what waits for an organiser: two queries."""
    return OpenMatters(
        Incident.objects.of(demonstration).unfinished().count(),
        LostChild.objects.of(demonstration).open().count(),
    )


def _facts(said: dict[str, Any]) -> Iterable[Fact]:
    """Yield what is written, and what is not known of what the prompt asks about."""
    for name, value in said.items():
        if name in ("kind", "happened_at", "place", "account"):
            continue
        asked = value is None and Incident._meta.get_field(
            name
        ).get_internal_type() == ("BooleanField")
        if value or value is False or asked:
            yield Fact(label_of(name), words_for(name, value))


def _change_lines(made: Iterable[IncidentChange]) -> tuple[ChangeLine, ...]:
    return tuple(
        ChangeLine(
            change.at,
            change.by,
            tuple(
                (label_of(name), words_for(name, old), words_for(name, new))
                for name, (old, new) in change.what.items()
            ),
        )
        for change in made
    )
