"""A starting library for this work, in our own words; the organiser edits it."""

import json
from collections.abc import Collection
from datetime import datetime
from importlib.resources import files
from typing import Any

from django.db import transaction

from heritage.people.models import User
from heritage.safety import selectors
from heritage.safety.models import Briefing, Hazard
from heritage.safety.services.briefings import (
    BriefingWords,
    compose_briefing,
    publish,
)
from heritage.safety.services.hazards import Assessment, keep_hazard, local_day
from heritage.season.models import Demonstration


@transaction.atomic
def load_starting_library(
    *,
    demonstration: Demonstration,
    user: User | None,
    now: datetime,
    controller: str = "",
    only: Collection[str] | None = None,
) -> list[Hazard]:
    """Add the hazards of this work that are not on the list yet; return those added.

    Loaded without a controller, the severest ones wait for a name: no briefing with
    them can be published until each has one.
    """
    Demonstration.objects.select_for_update(no_key=True).get(pk=demonstration.pk)
    known = set(demonstration.hazards.values_list("title", flat=True))
    return [
        keep_hazard(
            Hazard(demonstration=demonstration),
            Assessment(**(row | {"controller": controller})),
            user,
            now,
        )
        for row in _read("starting_hazards.json")
        if row["title"] not in known and (only is None or row["title"] in only)
    ]


@transaction.atomic
def compose_starting_briefing(
    *, demonstration: Demonstration, title: str, user: User, now: datetime
) -> Briefing:
    """Compose one starting briefing that is not there yet, with its hazards.

    Nobody can hear it until an organiser has named who is in charge and published it.
    """
    (row,) = [one for one in _read("starting_briefings.json") if one["title"] == title]
    named = row.pop("hazards")
    load_starting_library(demonstration=demonstration, user=user, now=now, only=named)
    hazards = demonstration.hazards.filter(title__in=named)
    return compose_briefing(
        demonstration=demonstration, words=BriefingWords(**row), hazards=hazards
    )


@transaction.atomic
def load_starting_briefings(
    *, demonstration: Demonstration, in_charge: str, user: User, now: datetime
) -> list[Briefing]:
    """Compose the starting briefings that are not there yet, and publish what may be.

    The hazards they name are added first if they are missing. A briefing that may
    not be published yet stays as it is composed, and its page says why.
    """
    load_starting_library(
        demonstration=demonstration, controller=in_charge, user=user, now=now
    )
    day = local_day(demonstration, now)
    hazards = {hazard.title: hazard for hazard in demonstration.hazards.all()}
    known = set(demonstration.briefings.values_list("title", flat=True))
    added = []
    for row in _read("starting_briefings.json"):
        named = [hazards[title] for title in row.pop("hazards")]
        if row["title"] in known:
            continue
        words = BriefingWords(in_charge=in_charge, **row)
        briefing = compose_briefing(
            demonstration=demonstration, words=words, hazards=named
        )
        if not selectors.reasons_not_to_publish(briefing, day):
            publish(briefing=briefing, user=user, now=now)
        added.append(briefing)
    return added


def _read(name: str) -> list[dict[str, Any]]:
    text = files("heritage.safety").joinpath(name).read_text(encoding="utf-8")
    rows: list[dict[str, Any]] = json.loads(text)
    return rows
