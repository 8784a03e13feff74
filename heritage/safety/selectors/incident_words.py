"""An incident's fields in words, and whose words they are."""

from collections.abc import Iterable
from datetime import date, datetime
from typing import Any

from django.utils.translation import gettext as _

from heritage.safety.models import Incident, IncidentChange

# What whoever wrote it down may add, until an organiser closes it.
REPORTER_FIELDS = [
    "kind", "happened_at", "place", "account", "who", "hurt_name", "hurt_contact",
    "is_child", "born_on", "injury", "done", "work_related", "employer",
    "on_public_road", "fatal", "treated_in_hospital",
]  # fmt: skip
ORGANISER_FIELDS = [*REPORTER_FIELDS, "volunteer", "hazard", "learnt"]
DECISION_FIELDS = ["told_authority_on", "told_authority_how", "not_told_why"]
# Parts of an incident that stand in its history and are no fields of it.
PARTS = frozenset({"witness", "photograph"})


def own_words(incident: Incident, made: Iterable[IncidentChange]) -> dict[str, Any]:
    """Return each of the reporter's fields as the reporter last left it.

    What an organiser has since put there is theirs to read: it may hold what the
    injured person told them in confidence.
    """
    words = {name: getattr(incident, name) for name in REPORTER_FIELDS}
    settled: set[str] = set()
    for change in made:
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
