"""Posting what the plan of the harvest proposes."""

from datetime import date, datetime
from typing import cast

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.common.rows import lock
from heritage.desk.harvest.selectors import Kind, kinds_of, offers
from heritage.gatherings import services as gatherings
from heritage.gatherings.models import Gathering
from heritage.gatherings.runs.selectors import Evening
from heritage.gatherings.services import STATION_FIELDS, Details, StationPlan
from heritage.season.models import Demonstration, Stage


@transaction.atomic
def post_proposed(
    *, demonstration: Demonstration, stage: str, day: date, key: str, now: datetime
) -> Gathering:
    """Post an evening as the plan showed it, from the organiser's own pattern.

    Raises
    ------
    ValidationError
        If one of its kind is posted that evening already, so that a second press
        posts nothing, or if the times or the light are no longer those shown.
    """
    lock(demonstration)
    pulling, carting = kinds_of(demonstration)
    kind = carting if stage == Stage.CARTING else pulling
    if not kind.can_post:
        raise ValidationError(
            _("There's no pattern to post it from. Add one under “Gatherings”.")
        )
    possible = offers(demonstration, kind, (day, day), now)
    offered = next((one for one in possible if one.key == key), None)
    if offered is None:
        raise ValidationError(
            _(
                "Nothing was posted: that evening is already there, or its times have "
                "changed. Check the plan again."
            )
        )
    return gatherings.post(
        demonstration=demonstration,
        details=_details(kind, offered),
        stations=[
            StationPlan(**{name: getattr(row, name) for name in STATION_FIELDS})
            for row in kind.stations
        ],
        now=now,
    )


def _details(kind: Kind, offered: Evening) -> Details:
    pattern = {
        name: getattr(kind, name) for name in ("title", "bring", "note", "place")
    }
    return cast(
        Details,
        {**pattern, **offered.times, "stage": kind.stage, "plot": None, "lead": None},
    )
