"""Who watches where: the stewards' posts, and those that the ground asks for."""

from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.briefings.models import EmergencyPlan
from heritage.calc.young_people import ADULT
from heritage.common.rows import fill_in, lock
from heritage.grounds.models import Duty, Exit, StewardPost
from heritage.grounds.selectors import dam_names
from heritage.machines.models import Machine
from heritage.people.models import Volunteer
from heritage.season.models import Demonstration


@transaction.atomic
def keep_post(
    *, post: StewardPost, values: Mapping[str, Any], now: datetime
) -> StewardPost:
    """Keep a steward's post and who stands there.

    Raises
    ------
    ValidationError
        If the person who is to stand there is under 18.
    """
    here = lock(post.demonstration)
    _refuse_children(values.get("volunteer"), now.astimezone(here.zone))
    return fill_in(post, values)


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
        values = {"duty": duty, "place": place[:160], "task": task}
        added.append(fill_in(StewardPost(demonstration=demonstration), values))
        there.add((duty, place))
    return added


def _refuse_children(person: Volunteer | None, now: datetime) -> None:
    if person and person.age_on(now.date()) < ADULT:
        raise ValidationError(
            {
                "volunteer": _(
                    "Choose an adult. Councils ask for stewards of 18 or older, and a "
                    "child can't answer for a danger."
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
    for name in dam_names(demonstration):
        task = _("No child at the edge without an adult. Keep the throw-line ready.")
        yield Duty.DAM, name, task, True
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
