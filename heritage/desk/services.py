"""Setting a demonstration up: several subjects written in one go, or not at all."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from heritage.briefings import services as safety
from heritage.dam import services as dams
from heritage.dam.models import Dam
from heritage.people import services as people
from heritage.people.models import User
from heritage.season import services as season
from heritage.season.models import Demonstration, Plot


class PartError(Exception):
    """A part of the set-up that was refused, so that its own form can say so."""

    def __init__(self, part: str, error: ValidationError) -> None:
        super().__init__(part)
        self.part = part
        self.error = error


@transaction.atomic
def set_up(
    *,
    founder: User,
    demonstration: dict[str, Any],
    plot: dict[str, Any],
    dam: dict[str, Any],
    now: datetime,
) -> Demonstration:
    """Set a demonstration up with its plot, its dam and its starting safety library.

    Raises
    ------
    PartError
        If a part cannot be; nothing at all is kept then.
    """
    with _part("demonstration"):
        here = season.create_demonstration(now=now, **demonstration)
    with _part("plot"):
        season.keep_plot(plot=Plot(demonstration=here), **plot)
    with _part("dam"):
        dams.keep_dam(dam=Dam(demonstration=here), values=dam)
    organiser = people.appoint_founder(demonstration=here, user=founder, now=now)
    safety.load_starting_briefings(
        demonstration=here, in_charge=organiser.name, user=founder, now=now
    )
    return here


@contextmanager
def _part(part: str) -> Iterator[None]:
    try:
        yield
    except ValidationError as error:
        raise PartError(part, error) from error
