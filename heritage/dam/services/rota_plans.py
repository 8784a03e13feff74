"""The plan of a ret's treading: made, changed, and its turns kept in step."""

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
        If the flax is lifted, the days could not be, or an evening would be dark.
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
    _refuse_days(plan)
    _refuse_strangers(plan)
    plan.full_clean()
    _refuse_dark(plan)
    plan.save()
    _keep_turns(plan, now)
    if plan.taken_at:
        mail.tell_changed(plan, now)
    return plan


def _refuse_days(plan: RotaPlan) -> None:
    began = plan.ret.began_at.astimezone(plan.ret.dam.demonstration.zone).date()
    if plan.first_day < began:
        raise ValidationError({"first_day": _("The flax was not in the dam yet.")})
    if plan.last_day < plan.first_day:
        raise ValidationError({"last_day": _("The last day is not before the first.")})
    if plan.last_day - plan.first_day >= timedelta(days=LONGEST_DAYS):
        words = _("That is more than six weeks. Plan a shorter time; change it later.")
        raise ValidationError({"last_day": words})
    if plan.evening <= plan.morning:
        raise ValidationError({"evening": _("The morning's turn comes first.")})


def _refuse_strangers(plan: RotaPlan) -> None:
    """Refuse a briefing or a skill of another demonstration."""
    home = plan.ret.dam.demonstration_id
    for name in ("briefing", "skill"):
        row = getattr(plan, name)
        if row and row.demonstration_id != home:
            raise ValidationError({name: _("Choose one of this demonstration's.")})


def _refuse_dark(plan: RotaPlan) -> None:
    """Refuse an evening turn that would begin after sunset: our own rule."""
    where = plan.ret.dam.demonstration
    sunset = light_of_day(where, plan.last_day).sunset
    first = light_of_day(where, plan.first_day).sunset
    for down in (first, sunset):
        if down and plan.evening >= down.astimezone(where.zone).time():
            words = _(
                "The sun sets at %(time)s on %(day)s, and nobody is in the water after "
                "that. Choose an earlier evening turn."
            )
            said = {"time": f"{down:%H:%M}", "day": f"{down.day} {down:%B}"}
            raise ValidationError({"evening": words % said})


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
