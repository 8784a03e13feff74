"""Runs of evenings: posted in one go, changed together, ended when the field is done.

Whether an evening is dry is not settled here: that stays with the call, each evening.
"""

import uuid
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, time
from functools import partial
from typing import Any, cast

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from heritage.common.rows import fill_in, lock
from heritage.gatherings.call.services import make_call
from heritage.gatherings.ground.selectors import evening_of, local_moment
from heritage.gatherings.ground.services import lock_gathering, lock_run
from heritage.gatherings.letters import mail
from heritage.gatherings.letters.mail import Before
from heritage.gatherings.models import (
    Decision,
    Gathering,
    GatheringStatus,
    Run,
    StationKind,
    WhyOff,
)
from heritage.gatherings.runs.selectors import (
    MOST_EVENINGS,
    Evening,
    RunPlan,
    end_by_light,
    evenings,
    evenings_to_come,
)
from heritage.gatherings.services import (
    Details,
    StationPlan,
    delete_draft,
    edit,
    write_evenings,
)
from heritage.people.models import User
from heritage.season.models import Demonstration

# The calls that end a run have keys of their own, so that a second press makes none.
ENDS = uuid.UUID("5f8a3f5e-6a0b-4d0e-9a3e-2a6a1c0f7b11")


@transaction.atomic
def post_run(
    *,
    demonstration: Demonstration,
    plan: RunPlan,
    details: dict[str, Any],
    stations: Sequence[StationPlan],
    days: Collection[date],
    by: User,
    now: datetime,
    knowing: Collection[date] = (),
    as_draft: bool = False,
) -> Run:
    """Post the evenings chosen of a run, all of them or none.

    ``details`` is what is posted of each, but for its times. An evening on which
    something is posted at that time already is refused unless it is among
    ``knowing``: so the same run sent twice is posted once.
    """
    lock(demonstration)
    works = [StationKind(one.kind) for one in stations]
    chosen = _chosen(plan, evenings(demonstration, plan, now, works), days, knowing)
    values: dict[str, Any] = {
        "title": details["title"],
        "weekdays": sorted(plan.weekdays),
        "first_day": plan.first_day,
        "last_day": plan.last_day,
        "starts": plan.starts,
        "ends": plan.ends,
        "left_out": _left_out(plan, days),
        "made_at": now,
        "made_by": by,
    }
    run = Run(demonstration=demonstration, **values)
    run.full_clean()
    run.save()
    same = {**details, "demonstration": demonstration, "run": run, "revised_at": now}
    same["status"] = GatheringStatus.DRAFT if as_draft else GatheringStatus.POSTED
    rows = [Gathering(**same, **one.times) for one in chosen]
    write_evenings(rows, stations, now)
    return run


def _left_out(plan: RunPlan, days: Collection[date]) -> list[str]:
    unticked = {day for day in plan.days if day not in days}
    return [day.isoformat() for day in sorted({*plan.left_out} | unticked)]


def _chosen(
    plan: RunPlan,
    possible: Sequence[Evening],
    days: Collection[date],
    knowing: Collection[date],
) -> list[Evening]:
    if plan.ends <= plan.starts:
        raise ValidationError(
            {"ends": _("The end is before the start. Check both times.")}
        )
    chosen = [one for one in possible if one.day in days]
    if not chosen or len(chosen) < len(set(days)):
        raise ValidationError(_("Choose at least one evening, and only those listed."))
    if len(chosen) > MOST_EVENINGS:
        raise ValidationError(
            _("You can post %d evenings at once. Choose an earlier last day.")
            % MOST_EVENINGS
        )
    for one in chosen:
        if one.trouble:
            raise ValidationError(on_day(one.day, one.trouble))
        if one.clashes and one.day not in knowing:
            words = _("“%s” is posted at that time already.") % one.clashes[0]
            raise ValidationError(on_day(one.day, words))
    return chosen


@transaction.atomic
def end_run(*, run: Run, by: User, now: datetime, note: str = "") -> int:
    """Call off what is to come of a run, and say how many evenings that was.

    Everybody signed up is told once, of all their evenings together. Drafts go. An
    evening that is under way, or called off already, stays as it is: a second press
    changes nothing and tells nobody.
    """
    run = lock_run(run)
    words = note or _("The field is done: there is nothing left to pull.")
    rows = list(run.gatherings.not_called_off().starting_after(now).for_page())
    for row in rows:
        if row.is_draft:
            delete_draft(gathering=row)
        else:
            _call_off(row, words, by, now)
    if run.ended_at is None:
        run.ended_at = now
        run.save(update_fields=["ended_at"])
    keys = [row.pk for row in rows if not row.is_draft]
    if keys:
        transaction.on_commit(partial(mail.run_called_off, run.pk, keys, words, now))
    return len(rows)


def _call_off(row: Gathering, words: str, by: User, now: datetime) -> None:
    make_call(
        gathering=row,
        readings={},
        decision=Decision.OFF,
        why_off=WhyOff.OTHER,
        note=words,
        by=by,
        now=now,
        key=uuid.uuid5(ENDS, f"{row.uid}/{row.sequence}"),
        tells=False,
    )


@transaction.atomic
def take_out(*, run: Run, gathering: Gathering) -> Gathering:
    """Let an evening stand alone: the run's changes and its end pass it by."""
    gathering = lock_gathering(gathering)
    if gathering.run_id == run.pk:
        gathering.run = None
        gathering.save(update_fields=["run"])
    return gathering


def on_day(day: date, words: str) -> str:
    """Say of which evening something is said."""
    return f"{date_format(day, 'l j F')}: {words}"


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
    run = lock_run(run)
    rows = evenings_to_come(run, now)
    before: dict[int, Before] = {}
    # Before the letters to those who move up, which may say more of an evening.
    transaction.on_commit(partial(mail.run_changed, run.pk, before, now))
    for row in rows:
        was = Before(row.starts_at, row.ends_at, row.place)
        try:
            changed = edit(
                gathering=row,
                details=_details(row, changes, stations, by_light),
                stations=_plans(row, stations),
                now=now,
                same_place=same_place,
                tells=False,
            )
        except ValidationError as error:
            raise _of_evening(row, error) from error
        if changed.sequence != row.sequence:
            before[row.pk] = was
    _change_run(run, changes)
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
    by_field = error.message_dict.items()
    return ValidationError(
        {name: [on_day(day, one) for one in words] for name, words in by_field}
    )


def _change_run(run: Run, changes: Mapping[str, Any]) -> None:
    names = [name for name in ("title", *CLOCKS) if name in changes]
    if names:
        fill_in(run, {name: changes[name] for name in names})
