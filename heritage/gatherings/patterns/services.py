"""The organiser's own list of kinds of gathering."""

from collections.abc import Collection, Sequence
from datetime import datetime
from typing import Any, TypedDict

from django.db import transaction

from heritage.briefings.models import Briefing
from heritage.briefings.services import compose_starting_briefing
from heritage.gatherings.models import Pattern, PatternStation
from heritage.gatherings.patterns.selectors import Starting, starting_patterns
from heritage.gatherings.services import STATION_FIELDS, StationPlan, require_plans
from heritage.people.models import Competence, User
from heritage.season.models import Demonstration


class PatternWords(TypedDict):
    """What a pattern says, besides its stations."""

    title: str
    stage: str
    bring: str
    note: str


@transaction.atomic
def keep_pattern(
    *,
    demonstration: Demonstration,
    words: PatternWords,
    stations: Sequence[StationPlan],
    pattern: Pattern | None = None,
) -> Pattern:
    """Keep a kind of gathering with its stations, or change one that is kept."""
    _hold(demonstration)
    kept = pattern or Pattern(demonstration=demonstration)
    for name, value in words.items():
        setattr(kept, name, value)
    require_plans(demonstration, stations, kept.stage)
    kept.full_clean()
    kept.save()
    # Nothing points at a pattern's stations, so they are simply written anew.
    kept.stations.all().delete()
    for plan in stations:
        fields = {name: getattr(plan, name) for name in STATION_FIELDS}
        station = PatternStation(pattern=kept, **fields)
        station.full_clean()
        station.save()
    return kept


@transaction.atomic
def delete_pattern(*, pattern: Pattern) -> None:
    """Take a pattern off the list; what was posted from it stays as it is."""
    pattern.delete()


@transaction.atomic
def start_with(
    *, demonstration: Demonstration, titles: Collection[str], by: User, now: datetime
) -> int:
    """Take starting patterns into the list, and say how many.

    One whose title is on the list already is left alone, so a second press adds
    nothing. A competence is asked where the demonstration has it. A briefing is
    always asked: one that is missing is composed, to be read and published.
    """
    _hold(demonstration)
    known = {row.title.casefold() for row in Pattern.objects.of(demonstration)}
    briefings = {row.title: row for row in Briefing.objects.of(demonstration)}
    able = {row.title.casefold(): row for row in Competence.objects.of(demonstration)}
    added = 0
    for one in starting_patterns():
        if one.title in titles and one.title.casefold() not in known:
            for name in {row["briefing"] for row in one.stations if "briefing" in row}:
                briefings[name] = briefings.get(name) or compose_starting_briefing(
                    demonstration=demonstration, title=name, user=by, now=now
                )
            keep_pattern(
                demonstration=demonstration,
                words=PatternWords(
                    title=one.title, stage=one.stage, bring=one.bring, note=one.note
                ),
                stations=_plans(one, briefings, able),
            )
            added += 1
    return added


def _plans(
    one: Starting, briefings: dict[str, Briefing], able: dict[str, Competence]
) -> list[StationPlan]:
    def plan(row: dict[str, Any]) -> StationPlan:
        asked = {
            "briefing": briefings.get(row.get("briefing", "")),
            "competence": able.get(row.get("competence", "").casefold()),
        }
        return StationPlan(**(row | asked))

    return [plan(row) for row in one.stations]


def _hold(demonstration: Demonstration) -> None:
    """Let nobody else write the list until this is done."""
    Demonstration.objects.select_for_update(no_key=True).get(pk=demonstration.pk)
