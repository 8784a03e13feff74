"""The stations at machines that stand still, because a guard was not seen in place."""

from collections.abc import Iterable
from datetime import datetime

from django.utils.translation import gettext as _

from heritage.gatherings.models import Gathering, Station
from heritage.gatherings.selectors.asks import Refusal, day_of
from heritage.safety.selectors import guards_missing, how_to_mend, works_stopped


def standing_still(
    gathering: Gathering, stations: Iterable[Station]
) -> dict[int, Refusal]:
    """Say of each station at a machine why nobody works there on the day, by its key.

    Three queries, none where no station is at a machine.
    """
    rows = list(stations)
    why = works_stopped(
        gathering.demonstration,
        gathering.starts_at,
        gathering.stage,
        [row.kind for row in rows],
    )
    return {
        row.pk: Refusal(f"{why[row.kind]} {how_to_mend()}", "machine")
        for row in rows
        if row.kind in why
    }


def machine_warnings(
    gathering: Gathering, stations: Iterable[Station], now: datetime
) -> list[str]:
    """Say which stations no one can work at yet for want of a guard.

    On the day that is whatever was not seen in its place; before, what was missing
    when the machine was last looked at. Nothing of a gathering that is over.
    """
    rows = list(stations) if gathering.ends_at > now else []
    works = [row.kind for row in rows]
    where, stage = gathering.demonstration, gathering.stage
    if _is_today(gathering, now):
        why = works_stopped(where, now, stage, works)
    else:
        why = guards_missing(where, stage, works)
    said: dict[str, list[str]] = {}
    for row in rows:
        if row.kind in why:
            said.setdefault(why[row.kind], []).append(row.title)
    return [
        _("%(stations)s: %(why)s %(mend)s")
        % {"stations": ", ".join(titles), "why": words, "mend": how_to_mend()}
        for words, titles in said.items()
    ]


def is_barred_today(gathering: Gathering, works: Iterable[str], now: datetime) -> str:
    """Say why a gathering of today may not be posted: a guard was found missing."""
    if not _is_today(gathering, now):
        return ""
    where, stage = gathering.demonstration, gathering.stage
    asked = list(works)
    missing = guards_missing(where, stage, asked)
    still = works_stopped(where, now, stage, asked)
    return " ".join(dict.fromkeys(missing[work] for work in missing if work in still))


def _is_today(gathering: Gathering, now: datetime) -> bool:
    return day_of(gathering) == now.astimezone(gathering.demonstration.zone).date()
