"""The plan of a ret's treading: made, changed, and its turns kept in step."""

from collections.abc import Iterator, Mapping
from datetime import date, datetime, time, timedelta
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.dam import mail
from heritage.dam.models import Half, Ret, RotaPlan, Treader, Treading
from heritage.gatherings.selectors import light_of_day
from heritage.people.models import Competence, User
from heritage.people.services.answering import require_organiser
from heritage.safety.models import Briefing

LONGEST_DAYS = 42
# The field, and what is wrong with it.
Fault = tuple[str, str]


def hold(ret: Ret) -> Ret:
    """Return the ret as it is now; nobody else changes its rota until we are done."""
    rows = Ret.objects.select_for_update(of=("self",))
    return rows.select_related("dam__demonstration").get(pk=ret.pk)


def hold_plan(ret: Ret) -> RotaPlan:
    """Return the plan of a ret under the lock.

    Raises
    ------
    ValidationError
        If there is none, or the flax is out of the dam.
    """
    held = hold(ret)
    plan = RotaPlan.objects.of_ret(held).for_page().first()
    if plan is None:
        raise ValidationError(_("No treading is planned for this ret yet."))
    if held.lifted_at:
        raise ValidationError(_("This flax is lifted: there is nothing to tread."))
    return plan


@transaction.atomic
def plan_treading(
    *,
    ret: Ret,
    first_day: date,
    last_day: date,
    morning: time,
    evening: time,
    people: int,
    most_turns: int,
    in_days: int,
    briefing: Briefing | None,
    skill: Competence | None,
    by: User,
    now: datetime,
) -> RotaPlan:
    """Plan a ret's treading or change the plan; what people said of a turn stays.

    Turns outside the new days are dropped, and come back with all their answers if
    the days are changed again. Whoever had been told of a turn that is dropped or at
    another time is written to.

    Raises
    ------
    ValidationError
        If the flax is lifted; else with all that is to be put right, by field: days
        that could not be, times out of order, an evening in the dark, no briefing.
    """
    ret = hold(ret)
    require_organiser(ret.dam.demonstration, by)
    if ret.lifted_at:
        raise ValidationError(_("This flax is lifted: there is nothing to tread."))
    plan = RotaPlan.objects.of_ret(ret).first() or RotaPlan(ret=ret)
    plan.ret = ret
    said: dict[str, Any] = {
        "first_day": first_day,
        "last_day": last_day,
        "morning": morning,
        "evening": evening,
        "people": people,
        "most_turns": most_turns,
        "in_days": in_days,
        "briefing": briefing,
        "skill": skill,
    }
    for name, value in said.items():
        setattr(plan, name, value)
    _refuse_faults(plan, said)
    plan.full_clean()
    plan.save()
    _keep_turns(plan, now)
    if plan.taken_at:
        mail.tell_changed(plan, now)
    return plan


def _refuse_faults(plan: RotaPlan, said: Mapping[str, Any]) -> None:
    """Refuse a plan with everything that is to be put right, by field."""
    faults: dict[str, list[Any]] = dict(plan_faults(plan.ret, said))
    try:
        plan.clean_fields()
    except ValidationError as error:
        for name, found in error.error_dict.items():
            faults[name] = [*faults.get(name, []), *found]
    if faults:
        raise ValidationError(faults)


def plan_faults(ret: Ret, said: Mapping[str, Any]) -> dict[str, list[str]]:
    """Say all that is wrong with a plan, by field; what is not said is not judged."""
    found: dict[str, list[str]] = {}
    for name, words in [
        *_wrong_days(ret, said.get("first_day"), said.get("last_day")),
        *_wrong_times(ret, said),
        *_strangers(ret, said),
    ]:
        found.setdefault(name, []).append(words)
    return found


def _wrong_days(ret: Ret, first: date | None, last: date | None) -> Iterator[Fault]:
    began = ret.began_at.astimezone(ret.dam.demonstration.zone).date()
    if first and first < began:
        yield "first_day", _("The flax was not in the dam yet.")
    if first is None or last is None:
        return
    if last < first:
        yield "last_day", _("The last day is not before the first.")
    if last - first >= timedelta(days=LONGEST_DAYS):
        words = _("That is more than six weeks. Plan a shorter time; change it later.")
        yield "last_day", words


def _wrong_times(ret: Ret, said: Mapping[str, Any]) -> Iterator[Fault]:
    """Say which times cannot be: out of order, or after sunset, our own rule."""
    morning, evening = said.get("morning"), said.get("evening")
    if evening is None:
        return
    if morning and evening <= morning:
        yield "evening", _("The morning's turn comes first.")
    where = ret.dam.demonstration
    for day in filter(None, [said.get("first_day"), said.get("last_day")]):
        down = light_of_day(where, day).sunset
        if down and evening >= down.astimezone(where.zone).time():
            words = _(
                "The sun sets at %(time)s on %(day)s, and nobody is in the water after "
                "that. Choose an earlier evening turn."
            )
            sets = {"time": f"{down:%H:%M}", "day": f"{down.day} {down:%B}"}
            yield "evening", words % sets
            return


def _strangers(ret: Ret, said: Mapping[str, Any]) -> Iterator[Fault]:
    """Say where a briefing or a skill is of another demonstration."""
    for name in ("briefing", "skill"):
        row = said.get(name)
        if row and row.demonstration_id != ret.dam.demonstration_id:
            yield name, _("Choose one of this demonstration's.")


def _keep_turns(plan: RotaPlan, now: datetime) -> None:
    """Make the plan's turns, drop those outside it, and move the rest to its times."""
    zone = plan.ret.dam.demonstration.zone
    clock = {Half.MORNING: plan.morning, Half.EVENING: plan.evening}
    known = {(turn.day, turn.half): turn for turn in Treading.objects.of_plan(plan)}
    days = (plan.last_day - plan.first_day).days + 1
    wanted = {
        (plan.first_day + timedelta(days=n), half): at
        for n in range(days)
        for half, at in clock.items()
    }
    for (day, half), at in wanted.items():
        moment = datetime.combine(day, at, tzinfo=zone)
        turn = known.get((day, half))
        if turn is None:
            # A turn from before the ret, or before anybody could be asked, is none.
            if moment > plan.ret.began_at:
                Treading.objects.create(plan=plan, day=day, half=half, at=moment)
        elif turn.at > now and turn.trodden_at is None:
            _move(turn, moment)
    for key, turn in known.items():
        if key not in wanted and turn.at > now and turn.dropped_at is None:
            turn.dropped_at = now
            turn.save(update_fields=["dropped_at"])


def _move(turn: Treading, moment: datetime) -> None:
    """Put a turn to come at its time, whoever was told of another is told again."""
    if turn.at != moment:
        Treader.objects.in_turns([turn]).update(told=False)
    if turn.at != moment or turn.dropped_at:
        turn.at, turn.dropped_at = moment, None
        turn.save(update_fields=["at", "dropped_at"])
