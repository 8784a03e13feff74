"""Incidents as their readers may see them: an organiser all, a reporter their own.

An incident gathers what the injured person and witnesses say in confidence. So the
person who reported it is shown each field as they last left it, worked out from the
history, and no part that others added; a field that somebody else has written in is
closed to them.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from heritage.briefings.emergency.selectors import jurisdiction_of
from heritage.calc.risk import Case, Hurt, Reporting, reporting_prompt
from heritage.incidents.models import (
    Evidence,
    Incident,
    IncidentChange,
    IncidentKind,
    IncidentQuerySet,
    LostChild,
    Witness,
)
from heritage.incidents.words import ANSWERS, WHY
from heritage.people.models import User
from heritage.season.models import Demonstration

# What the person who wrote it down may add, until an organiser closes it.
REPORTER_FIELDS = [
    "kind", "happened_at", "place", "account", "who", "hurt_name", "hurt_contact",
    "is_child", "born_on", "injury", "done", "work_related", "employer",
    "on_public_road", "fatal", "treated_in_hospital",
]  # fmt: skip
ORGANISER_FIELDS = [*REPORTER_FIELDS, "volunteer", "hazard", "learnt"]
# The reporting prompt asks about these: None stands for "not known yet".
ASKED = (
    "work_related", "employer", "on_public_road", "fatal", "treated_in_hospital",
)  # fmt: skip
DECISION_FIELDS = ["told_authority_on", "told_authority_how", "not_told_why"]
# Parts of an incident that stand in its history and are no fields of it.
PARTS = frozenset({"witness", "photograph"})


def own_words(incident: Incident, changes: Iterable[IncidentChange]) -> dict[str, Any]:
    """Return each of the reporter's fields as the reporter last left it.

    What an organiser has since put there is theirs to read: it may hold what the
    injured person told them in confidence.
    """
    words = {name: getattr(incident, name) for name in REPORTER_FIELDS}
    settled: set[str] = set()
    for change in changes:
        for name in set(change.what) & set(words) - settled:
            if change.by_id == incident.reported_by_id:
                settled.add(name)
            else:
                words[name] = _from_plain(name, change.what[name][0])
    return words


def closed_to_reporter(incident: Incident) -> frozenset[str]:
    """Name the fields that somebody else has written in since the reporter did."""
    settled: set[str] = set()
    closed: set[str] = set()
    for change in changes_of(incident):
        names = set(change.what) - settled
        mine = change.by_id == incident.reported_by_id
        closed |= set() if mine else names
        settled |= names
    return frozenset(closed & set(REPORTER_FIELDS))


def fields_open(incident: Incident, *, as_organiser: bool) -> set[str]:
    """Name the fields that an organiser, or the person who reported it, may write."""
    if as_organiser:
        return set(ORGANISER_FIELDS)
    return set(REPORTER_FIELDS) - closed_to_reporter(incident)


def changes_of(incident: Incident) -> list[IncidentChange]:
    """Return the history of an incident, the newest first."""
    return list(incident.changes.select_related("by").order_by("-at", "-pk"))


def _from_plain(name: str, value: Any) -> Any:
    field = Incident._meta.get_field(name)
    return field.to_python(value)  # type: ignore[union-attr]


def plain(value: Any) -> Any:
    """Return a field's value as the history keeps it."""
    if isinstance(value, date):
        return value.isoformat()
    return value if value is None or isinstance(value, bool) else str(value)


def label_of(name: str) -> str:
    """Name a field as the form does; a part of an incident by itself."""
    if name == "witness":
        return _("a witness")
    if name == "photograph":
        return _("a photograph")
    return str(Incident._meta.get_field(name).verbose_name)  # type: ignore[union-attr]


def words_for(name: str, value: Any) -> str:
    """Say a field's value in words."""
    if value is None:
        return _("not known")
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    if isinstance(value, date) and not isinstance(value, datetime):
        return f"{value.day} {value:%B %Y}"
    if name in PARTS or value == "":
        return str(value) or _("nothing")
    choices = Incident._meta.get_field(name).choices  # type: ignore[union-attr]
    return str(dict(choices or ()).get(value, value))


# Three years: the reporting rules' own minimum for records (RIDDOR 2013 reg. 12; the
# figure is also on Northern Ireland's pages). Kept for every incident, reported or not.
YEARS = 3
# A child's until 21: from memory of the limitation rules, to be confirmed; kept at
# least so because it is the longer.
CHILD_UNTIL_AGE = 21


@dataclass(frozen=True, slots=True)
class Keeping:
    """Until when an incident is kept, and why."""

    until: date
    why: str
    held_for: str


def keeping_of(incident: Incident) -> Keeping:
    """Return until when an incident is kept, by class."""
    return Keeping(keep_until(incident), _why(incident), incident.held_for)


def keep_until(incident: Incident) -> date:
    """Return the last day an incident is kept: three years, a child's till 21."""
    day = incident.happened_at.astimezone(incident.demonstration.zone).date()
    least = years_on(day, YEARS)
    if not is_a_childs(incident):
        return least
    born_on = _born_on(incident)
    if born_on:
        return max(least, years_on(born_on, CHILD_UNTIL_AGE))
    young = incident.volunteer.age.least_age if incident.volunteer else 0
    return max(least, years_on(day, CHILD_UNTIL_AGE - young))


def is_a_childs(incident: Incident) -> bool:
    """Tell whether the person hurt was under 18, by what is written or known."""
    person = incident.volunteer
    return incident.is_child or (person is not None and person.age.least_age < 18)


def years_on(day: date, years: int) -> date:
    """Return the same day so many years later; 29 February becomes 1 March."""
    try:
        return day.replace(year=day.year + years)
    except ValueError:
        return date(day.year + years, 3, 1)


def _born_on(incident: Incident) -> date | None:
    person = incident.volunteer
    return incident.born_on or (person.born_on if person else None)


def _why(incident: Incident) -> str:
    if not is_a_childs(incident):
        return _("Records of accidents are kept three years or longer.")
    until = _(
        "The record of a child is kept until they are 21, by our own rule. Your "
        "insurer may ask for longer."
    )
    if _born_on(incident):
        return until
    return f"{until} {_('No date of birth is known, so it is the latest it could be.')}"


# The words that stand beside every answer.
GUIDANCE = gettext_lazy(
    "A guide only. Check the official pages, and keep a record either way."
)


@dataclass(frozen=True, slots=True)
class Advice:
    """What the prompt says of an incident, and why."""

    answer: Reporting
    words: str
    reasons: tuple[str, ...]

    @property
    def is_likely(self) -> bool:
        """Whether it should be reported without delay."""
        return self.answer is Reporting.LIKELY


def advice_on(incident: Incident) -> Advice:
    """Return guidance on reporting; it reports nothing, and promises nothing."""
    answer, reasons = _answer(incident)
    return Advice(answer, str(ANSWERS[answer]), reasons)


def _answer(incident: Incident) -> tuple[Reporting, tuple[str, ...]]:
    harmless = incident.kind in (IncidentKind.NEAR_MISS, IncidentKind.DAMAGE)
    if harmless and not incident.who:
        words = _(
            "Nobody was hurt. Some dangerous happenings may have to be reported all"
            " the same: look at the official pages."
        )
        return Reporting.ASK, (words,)
    if not incident.who:
        return Reporting.ASK, (_("Say first who was hurt or taken ill."),)
    prompt = reporting_prompt(
        Case(
            jurisdiction_of(incident.demonstration),
            Hurt(incident.who),
            work_related=incident.work_related,
            employer=incident.employer,
            on_public_road=incident.on_public_road,
            fatal=incident.fatal,
            treated_in_hospital=incident.treated_in_hospital,
        )
    )
    return prompt.answer, tuple(str(WHY[reason]) for reason in prompt.reasons)


HARM = frozenset({IncidentKind.INJURY, IncidentKind.ILLNESS})


@dataclass(frozen=True, slots=True)
class Fact:
    """One thing written of an incident, in words."""

    label: str
    words: str
    is_known: bool = True


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
    """List the incidents that the reader may see, the newest first: two queries.

    The person who reported one reads where it was in their own words.
    """
    rows = rows.select_related("reported_by").prefetch_related("changes")
    lines = []
    for row in rows.newest_first():
        own = own_words(row, row.changes.all())
        place = row.place if whole else own["place"]
        lines.append(IncidentLine(row, place))
    return tuple(lines)


def incident_page(incident: Incident, user: User, *, whole: bool) -> IncidentPage:
    """Return an incident as its reader may see it: three queries."""
    changes = changes_of(incident)
    own = own_words(incident, changes)
    values = {name: getattr(incident, name) for name in ORGANISER_FIELDS}
    shown = values if whole else own
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
        changes=_change_lines(
            changes if whole else [one for one in changes if one.by == user]
        ),
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
            lacks.append(_("Say whether it was reported, or why not."))
    if not incident.done:
        lacks.append(_("Say what was done at once."))
    if not incident.learnt:
        lacks.append(_("Say what you'll change, or that nothing needs to."))
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


def _facts(values: dict[str, Any]) -> Iterable[Fact]:
    """Yield what is written, and what is not known of what the prompt asks about."""
    for name, value in values.items():
        if name in ("kind", "happened_at", "place", "account"):
            continue
        is_asked = value is None and name in ASKED
        # Of grown-ups it goes without saying.
        is_no = value is False and name != "is_child"
        if value or is_no or is_asked:
            yield Fact(label_of(name), words_for(name, value), value is not None)


def _change_lines(changes: Iterable[IncidentChange]) -> tuple[ChangeLine, ...]:
    return tuple(
        ChangeLine(
            change.at,
            change.by,
            tuple(
                (label_of(name), words_for(name, old), words_for(name, new))
                for name, (old, new) in change.what.items()
            ),
        )
        for change in changes
    )
