"""Write down every change to an assessment, as it was before and after."""

from datetime import date, datetime
from typing import Any

from heritage.people.models import User
from heritage.safety.models import Hazard, HazardChange
from heritage.safety.selectors.past import FIELDS


def as_it_stands(hazard: Hazard) -> dict[str, Any]:
    """Return what an assessment says now, controls included, in plain values."""
    said = {name: _plain(getattr(hazard, name)) for name in FIELDS}
    controls = hazard.controls.all() if hazard.pk else []
    said["controls"] = [f"{one.get_kind_display()}: {one.text}" for one in controls]
    return said


def note_change(
    hazard: Hazard,
    before: dict[str, Any],
    after: dict[str, Any],
    by: User | None,
    now: datetime,
) -> None:
    """Add a line to the history, if anything is different.

    An assessment that begins has nothing before, one that is taken off nothing after.
    """
    names = [*dict.fromkeys([*before, *after])]
    what = {
        name: [before.get(name), after.get(name)]
        for name in names
        if before.get(name) != after.get(name)
    }
    if what:
        HazardChange.objects.create(
            demonstration_id=hazard.demonstration_id,
            hazard_number=hazard.pk,
            title=hazard.title,
            what=what,
            at=now,
            by=by,
        )


def _plain(value: Any) -> Any:
    return value.isoformat() if isinstance(value, date) else value
