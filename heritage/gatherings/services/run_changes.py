"""Changing all the evenings of a run that are still to come."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime, time
from functools import partial
from typing import Any, cast

from django.core.exceptions import ValidationError
from django.db import transaction

from heritage.gatherings import mail
from heritage.gatherings.mail import Before
from heritage.gatherings.models import Gathering, Run
from heritage.gatherings.selectors import (
    end_by_light,
    evening_of,
    evenings_to_come,
    local_moment,
)
from heritage.gatherings.services.locking import hold_run
from heritage.gatherings.services.posting import Details, edit
from heritage.gatherings.services.runs import on_day
from heritage.gatherings.services.stations import StationPlan

CLOCKS = ("starts", "ends")


@transaction.atomic
def edit_run(
    *,
    run: Run,
    changes: Mapping[str, Any],
    stations: Sequence[StationPlan] | None,
    now: datetime,
    by_light: bool = False,
    same_place: bool = False,
) -> int:
    """Change what is to come of a run, all of it or nothing; say how many evenings.

    Only what is in ``changes`` is changed (``starts`` and ``ends`` are times of day
    there), so that an evening that differs keeps what was not touched. Stations,
    where they are given, replace those of each evening; one of the same name is the
    same station, with its places. Everybody signed up is told once, of all their
    evenings that have a new time or place.

    Raises
    ------
    ValidationError
        If an evening refuses, with its day: somebody would lose a place, say.
    """
    run = hold_run(run)
    rows = evenings_to_come(run, now)
    before: dict[int, Before] = {}
    # Before the letters to whoever moves up, which may say more of an evening.
    transaction.on_commit(partial(mail.run_changed, run.pk, before, now))
    for row in rows:
        was = Before(row.starts_at, row.ends_at, row.place)
        try:
            made = edit(
                gathering=row,
                details=_details(row, changes, stations, by_light),
                stations=_plans(row, stations),
                now=now,
                same_place=same_place,
                tells=False,
            )
        except ValidationError as error:
            raise _of_evening(row, error) from error
        if made.sequence != row.sequence:
            before[row.pk] = was
    _say_on_run(run, changes)
    return len(rows)


def _details(
    row: Gathering,
    changes: Mapping[str, Any],
    stations: Sequence[StationPlan] | None,
    by_light: bool,
) -> Details:
    names = Details.__annotations__
    details = {name: changes.get(name, getattr(row, name)) for name in names}
    zone = row.demonstration.zone
    for name in CLOCKS:
        moment = getattr(row, f"{name}_at").astimezone(zone)
        clock: time | None = changes.get(name)
        if clock:
            details[f"{name}_at"] = local_moment(moment.date(), clock, zone)
    if by_light:
        kinds = stations if stations is not None else row.stations.in_order()
        details["ends_at"] = end_by_light(
            row.demonstration,
            evening_of(row.starts_at, row.demonstration),
            details["ends_at"],
            [one.kind for one in kinds],
        )
    return cast(Details, details)


def _plans(
    row: Gathering, stations: Sequence[StationPlan] | None
) -> list[StationPlan] | None:
    if stations is None:
        return None
    known = {one.title.casefold(): one for one in row.stations.in_order()}
    return [replace(plan, station=known.get(plan.name)) for plan in stations]


def _of_evening(row: Gathering, error: ValidationError) -> ValidationError:
    """Return a refusal that says which evening refused."""
    day = row.starts_at.astimezone(row.demonstration.zone).date()
    if not hasattr(error, "error_dict"):
        return ValidationError([on_day(day, words) for words in error.messages])
    said = error.message_dict.items()
    return ValidationError(
        {name: [on_day(day, one) for one in words] for name, words in said}
    )


def _say_on_run(run: Run, changes: Mapping[str, Any]) -> None:
    told = [name for name in ("title", *CLOCKS) if name in changes]
    for name in told:
        setattr(run, name, changes[name])
    run.full_clean()
    run.save(update_fields=told)
