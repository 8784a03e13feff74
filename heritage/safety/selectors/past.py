"""What was changed in the assessments, in words."""

from dataclasses import dataclass
from typing import Any

from django.core.exceptions import FieldDoesNotExist
from django.utils.translation import gettext as _

from heritage.safety.models import Hazard, HazardChange
from heritage.safety.selectors.stations import WORK_WORDS
from heritage.season.models import Demonstration, Stage

# The database does not keep the order in which a change was written.
FIELDS = (
    "title",
    "harm",
    "where",
    "severity",
    "likelihood",
    "severity_after",
    "likelihood_after",
    "severity_reason",
    "controller",
    "caution",
    "mark",
    "stages",
    "works",
    "review_on",
)
_WORDS: dict[str, dict[str, Any]] = {
    "works": dict(WORK_WORDS),
    "stages": dict(Stage.choices),
}


@dataclass(frozen=True, slots=True)
class Change:
    """One field of an assessment as it was and as it became, in words."""

    field: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class PastLine:
    """One line of the history: when, by whom, what was changed."""

    change: HazardChange
    said: str
    fields: tuple[Change, ...]


def changes(
    demonstration: Demonstration, number: int | None = None
) -> tuple[PastLine, ...]:
    """Return what was changed, the newest first, of one hazard or of all."""
    rows = HazardChange.objects.of(demonstration).newest_first()
    if number is not None:
        rows = rows.filter(hazard_number=number)
    return tuple(_past(change) for change in rows)


def _past(change: HazardChange) -> PastLine:
    """Tell a change in words; one that begins or ends an assessment by its title."""
    what = dict(change.what)
    seen = what.pop("looked_at", None)
    if seen:
        said = _("Looked at again: %s.") % str(seen[1]).rstrip(".")
    elif what.get("title", ["", ""])[0] is None:
        return PastLine(change, str(_("Written down.")), ())
    elif what.get("title", ["", ""])[1] is None:
        said = _("Taken off the list. It said:")
    else:
        said = _("Changed:")
    fields = tuple(
        Change(_name(field), _said(field, old), _said(field, new))
        for field, (old, new) in sorted(what.items(), key=_as_on_the_form)
        if _said(field, old) != _said(field, new)
    )
    return PastLine(change, str(said), fields)


def _as_on_the_form(item: tuple[str, Any]) -> int:
    field, _values = item
    return FIELDS.index(field) if field in FIELDS else len(FIELDS)


def _name(field: str) -> str:
    """Name a field as the form does."""
    if field == "controls":
        return str(_("controls"))
    try:
        return str(Hazard._meta.get_field(field).verbose_name)  # type: ignore[union-attr]
    except FieldDoesNotExist:
        return field


def _said(field: str, value: object) -> str:
    """Say a value that was kept in the history."""
    if isinstance(value, list):
        words = _WORDS.get(field, {})
        return "; ".join(str(words.get(one, one)) for one in value) or _("nothing")
    return _("nothing") if value in (None, "") else str(value)
