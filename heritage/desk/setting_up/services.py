"""Setting a demonstration up: several subjects written in one go, or not at all."""

from datetime import datetime
from typing import Any

from django.db import transaction

from heritage.briefings import services as safety
from heritage.dam import services as dams
from heritage.dam.models import Dam
from heritage.gatherings import services as gatherings
from heritage.gatherings.models import Gathering
from heritage.people import services as people
from heritage.people.models import User
from heritage.season import services as season
from heritage.season.models import Demonstration, Plot


@transaction.atomic
def set_up(
    *,
    founder: User,
    demonstration: dict[str, Any],
    plot: dict[str, Any],
    now: datetime,
    founder_name: str = "",
    dam: dict[str, Any] | None = None,
) -> Demonstration:
    """Set a demonstration up with its plot and its starting safety library.

    The dam is asked for when it is first needed; it can be given here too.

    Raises
    ------
    ValidationError
        By field, if something cannot be; nothing at all is kept then.
    """
    here = season.create_demonstration(now=now, **demonstration)
    season.keep_plot(plot=Plot(demonstration=here), **plot)
    if dam:
        dams.keep_dam(dam=Dam(demonstration=here), values=dam)
    organiser = people.appoint_founder(
        demonstration=here, user=founder, now=now, name=founder_name
    )
    safety.load_starting_briefings(
        demonstration=here, in_charge=organiser.name, user=founder, now=now
    )
    return here


@transaction.atomic
def set_up_with_evening(
    *, starts_at: datetime, ends_at: datetime, now: datetime, **parts: Any
) -> Gathering:
    """Set a demonstration up, and post its first evening of pulling by hand."""
    here = set_up(now=now, **parts)
    return gatherings.post_first(
        demonstration=here, starts_at=starts_at, ends_at=ends_at, now=now
    )
