"""The organiser's own list of kinds of gathering."""

from collections.abc import Collection, Mapping, Sequence
from datetime import datetime
from typing import Any

from django.db import transaction

from heritage.briefings.models import Briefing
from heritage.briefings.services import compose_starting_briefing
from heritage.common.rows import fill_in, lock
from heritage.gatherings.models import Pattern, PatternStation
from heritage.gatherings.patterns.selectors import Starting, starting_patterns
from heritage.gatherings.services import StationPlan, require_plans
from heritage.people.models import Competence, User
from heritage.season.models import Demonstration

# What a pattern says, besides its stations.
PATTERN_FIELDS = ("title", "stage", "bring", "note")


@transaction.atomic
def keep_pattern(
    *, pattern: Pattern, values: Mapping[str, Any], stations: Sequence[StationPlan]
) -> Pattern:
    """Keep a kind of gathering with its stations: a new one, or one that is changed."""
    lock(pattern.demonstration)
    require_plans(pattern.demonstration, stations, values["stage"])
    fill_in(pattern, values)
    # Nothing points at a pattern's stations, so they are simply written anew.
    pattern.stations.all().delete()
    for plan in stations:
        fill_in(PatternStation(pattern=pattern), plan.values())
    return pattern


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
    lock(demonstration)
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
                pattern=Pattern(demonstration=demonstration),
                values={name: getattr(one, name) for name in PATTERN_FIELDS},
                stations=_plans(one, briefings, able),
            )
            added += 1
    return added


def _plans(
    one: Starting, briefings: dict[str, Briefing], able: dict[str, Competence]
) -> list[StationPlan]:
    plans = []
    for row in one.stations:
        briefing = briefings.get(row.get("briefing", ""))
        competence = able.get(row.get("competence", "").casefold())
        asked = {"briefing": briefing, "competence": competence}
        plans.append(StationPlan(**(row | asked)))
    return plans
