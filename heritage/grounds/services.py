"""What is written down of the ground: its ways out, its crowd."""

from collections.abc import Iterator
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.briefings.emergency.services import fill_in, lock
from heritage.briefings.models import EmergencyPlan
from heritage.calc.young_people import ADULT
from heritage.grounds.models import CrowdPlan, Duty, Exit, StewardPost
from heritage.machines.models import Machine
from heritage.people.models import Volunteer
from heritage.season.models import Demonstration


@transaction.atomic
def keep_exit(
    *, demonstration: Demonstration, said: dict[str, Any], way: Exit | None = None
) -> Exit:
    """Write down a way out with its width, or put it right.

    Raises
    ------
    ValidationError
        If there is one of that name, or it has no width.
    """
    lock(demonstration)
    return fill_in(way or Exit(demonstration=demonstration), said)


@transaction.atomic
def take_away_exit(*, way: Exit) -> None:
    """Take a way out off the plan."""
    lock(way.demonstration)
    way.delete()


@transaction.atomic
def keep_crowd_plan(*, demonstration: Demonstration, said: dict[str, Any]) -> CrowdPlan:
    """Write down the ground for visitors, and how fast it must clear.

    Raises
    ------
    ValidationError
        If nothing is left of it to stand on.
    """
    lock(demonstration)
    plan = CrowdPlan.objects.of(demonstration).first()
    return fill_in(plan or CrowdPlan(demonstration=demonstration), said)


@transaction.atomic
def keep_post(
    *,
    demonstration: Demonstration,
    said: dict[str, Any],
    now: datetime,
    post: StewardPost | None = None,
) -> StewardPost:
    """Write down a post and who keeps it, or put it right.

    Raises
    ------
    ValidationError
        If whoever is to stand there is under 18.
    """
    lock(demonstration)
    post = post or StewardPost(demonstration=demonstration)
    for name, value in said.items():
        setattr(post, name, value)
    _refuse_children(post.volunteer, now.astimezone(demonstration.zone))
    post.full_clean()
    post.save()
    return post


@transaction.atomic
def take_away_post(*, post: StewardPost) -> None:
    """Take a post off the plan."""
    lock(post.demonstration)
    post.delete()


@transaction.atomic
def suggest_posts(*, demonstration: Demonstration) -> list[StewardPost]:
    """Add the posts that the ground asks for and the plan lacks; safe to repeat."""
    lock(demonstration)
    rows = StewardPost.objects.of(demonstration)
    there = set(rows.values_list("duty", "place"))
    duties = {duty for duty, _place in there}
    added = []
    for duty, place, task, is_each in _wanted(demonstration):
        if (duty, place) in there or (not is_each and duty in duties):
            continue
        post = StewardPost(
            demonstration=demonstration, duty=duty, place=place[:160], task=task
        )
        post.full_clean()
        post.save()
        there.add((duty, place))
        added.append(post)
    return added


def _refuse_children(person: Volunteer | None, now: datetime) -> None:
    if person and person.age_on(now.date()) < ADULT:
        raise ValidationError(
            {
                "volunteer": _(
                    "Stewards are 18 or older: councils ask for it, and a child may "
                    "not be left to answer for a danger. Choose an adult."
                )
            }
        )


def _wanted(demonstration: Demonstration) -> Iterator[tuple[str, str, str, bool]]:
    """Yield duty, place, task, and whether there is one for each such place."""
    for way in Exit.objects.of(demonstration).in_order():
        task = _("Keep it open and clear; count people in and out.")
        yield Duty.GATE, way.name, task, True
    machines = list(Machine.objects.of(demonstration).order_by("name", "pk"))
    for machine in machines:
        task = _("Nobody passes the barrier while it runs; call the stop signal.")
        yield Duty.MACHINE, machine.name, task, True
    if machines:
        task = _("Hold people back while anything drives across.")
        yield Duty.CROSSING, _("between the gate and the field"), task, False
    for dam in demonstration.dams.order_by("name", "pk"):
        task = _("No child at the edge without an adult; keep the throw-line at hand.")
        yield Duty.DAM, dam.name, task, True
    yield (
        Duty.FIRE,
        _("by the extinguisher"),
        _("Keep it clear; nobody smokes here."),
        False,
    )
    plan = EmergencyPlan.objects.of(demonstration).first()
    place = (plan and plan.lost_child) or _("to be chosen")
    yield Duty.LOST_CHILD, place, _("Two adults, where others can see them."), False
    yield Duty.FLOATER, _("all over the ground"), _("See what is needed."), False
    yield Duty.RELIEF, _("every post in turn"), _("Relieve everybody once."), False
