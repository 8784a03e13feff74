"""The plan of a ret's treading: made, changed, and its turns kept in step.

A rota worked out on a page is sealed and taken as it was shown, and taking it looks at
every place again under the ret's lock: all or nothing, refused in words. An
organiser's hand is kept (`Treader.by_hand`), and among rotas as full and as even the
one that changes least is taken. Each row says what its person was told, so that a
letter goes to those alone whose turns changed.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import partial
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.briefings.models import Briefing
from heritage.dam.models import Half, Ret, RotaPlan, Treader, TreaderState, Treading
from heritage.dam.rota import mail
from heritage.dam.rota.selectors import Fitness, fitness, may_tick, treading_station
from heritage.dam.treading.selectors import lack_of, turn_words
from heritage.gatherings.ground.selectors import light_of_day
from heritage.gatherings.services import require_water_briefed
from heritage.people.models import User, Volunteer
from heritage.people.particulars.services import is_own_or_guardian, require_organiser
from heritage.season.models import Stage

LONGEST_DAYS = 42
# The field, and what is wrong with it.
Fault = tuple[str, str]


def lock_ret(ret: Ret) -> Ret:
    """Return the ret as it is now; nobody else changes its rota until we are done."""
    rows = Ret.objects.select_for_update(of=("self",))
    return rows.select_related("dam__demonstration").get(pk=ret.pk)


def lock_plan(ret: Ret) -> RotaPlan:
    """Return the plan of a ret under the lock.

    Raises
    ------
    ValidationError
        If there is none, or the flax is out of the dam.
    """
    ret = lock_ret(ret)
    plan = RotaPlan.objects.of_ret(ret).for_page().first()
    if plan is None:
        raise ValidationError(_("No treading is planned for this ret yet."))
    if ret.lifted_at:
        raise ValidationError(
            _("This flax has been lifted, so there's no more treading.")
        )
    return plan


@transaction.atomic
def plan_treading(
    *, ret: Ret, values: Mapping[str, Any], by: User, now: datetime
) -> RotaPlan:
    """Plan a ret's treading or change the plan; what people said of a turn stays.

    Turns outside the new days are dropped, and come back with all their answers if
    the days are changed again. People told of a turn that is dropped or at
    another time are written to.

    Raises
    ------
    ValidationError
        If the flax is lifted; else with all that is to be put right, by field: days
        that could not be, times out of order, an evening in the dark, no briefing or
        one that names no danger of the water.
    """
    ret = lock_ret(ret)
    require_organiser(ret.dam.demonstration, by)
    if ret.lifted_at:
        raise ValidationError(
            _("This flax has been lifted, so there's no more treading.")
        )
    plan = RotaPlan.objects.of_ret(ret).first() or RotaPlan(ret=ret)
    plan.ret = ret
    for name, value in values.items():
        setattr(plan, name, value)
    _refuse_faults(plan, values)
    plan.full_clean()
    plan.save()
    _keep_turns(plan, now)
    if plan.taken_at:
        mail.tell_changed(plan, now)
    return plan


def _refuse_faults(plan: RotaPlan, values: Mapping[str, Any]) -> None:
    """Refuse a plan with everything that is to be put right, by field."""
    faults: dict[str, list[Any]] = dict(plan_faults(plan.ret, values))
    try:
        plan.clean_fields()
    except ValidationError as error:
        for name, errors in error.error_dict.items():
            faults[name] = [*faults.get(name, []), *errors]
    if faults:
        raise ValidationError(faults)


def plan_faults(ret: Ret, values: Mapping[str, Any]) -> dict[str, list[str]]:
    """Say all that is wrong with a plan, by field; a value not given is not judged."""
    faults: dict[str, list[str]] = {}
    for name, words in [
        *_wrong_days(ret, values.get("first_day"), values.get("last_day")),
        *_wrong_times(ret, values),
        *_strangers(ret, values),
        *_dry(values.get("briefing")),
    ]:
        faults.setdefault(name, []).append(words)
    return faults


def _wrong_days(ret: Ret, first: date | None, last: date | None) -> Iterator[Fault]:
    began = ret.began_at.astimezone(ret.dam.demonstration.zone).date()
    if first and first < began:
        yield "first_day", _("The flax wasn't in the dam yet. Enter a later time.")
    if first is None or last is None:
        return
    if last < first:
        yield "last_day", _("Choose a last day on or after the first.")
    if last - first >= timedelta(days=LONGEST_DAYS):
        words = _("That is more than six weeks. Plan a shorter time; change it later.")
        yield "last_day", words


def _wrong_times(ret: Ret, values: Mapping[str, Any]) -> Iterator[Fault]:
    """Say which times cannot be: out of order, or after sunset, our own rule."""
    morning, evening = values.get("morning"), values.get("evening")
    if evening is None:
        return
    if morning and evening <= morning:
        yield "evening", _("Choose a morning time before the evening's.")
    where = ret.dam.demonstration
    for day in filter(None, [values.get("first_day"), values.get("last_day")]):
        down = light_of_day(where, day).sunset
        if down and evening >= down.astimezone(where.zone).time():
            words = _(
                "The sun sets at %(time)s on %(day)s, and nobody is in the water after "
                "that. Choose an earlier evening turn."
            )
            sets = {"time": f"{down:%H:%M}", "day": f"{down.day} {down:%B}"}
            yield "evening", words % sets
            return


def _strangers(ret: Ret, values: Mapping[str, Any]) -> Iterator[Fault]:
    """Say where a briefing or a skill is of another demonstration."""
    for name in ("briefing", "skill"):
        row = values.get(name)
        if row and row.demonstration_id != ret.dam.demonstration_id:
            yield name, _("Choose one of this demonstration's.")


def _dry(briefing: Briefing | None) -> Iterator[Fault]:
    """Say where a briefing is silent on the water, as for a station at the water."""
    if briefing is None:
        return
    try:
        require_water_briefed(Stage.RETTING, [treading_station(briefing)])
    except ValidationError as fault:
        yield "briefing", fault.messages[0]


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
    """Put a turn to come at its time; people told of another are told again."""
    if turn.at != moment:
        Treader.objects.in_turns([turn]).update(told=False)
    if turn.at != moment or turn.dropped_at:
        turn.at, turn.dropped_at = moment, None
        turn.save(update_fields=["at", "dropped_at"])


@transaction.atomic
def answer(
    *, turn: Treading, volunteer: Volunteer, can: bool, by: User, now: datetime
) -> Treader:
    """Write down whether somebody can come to a turn.

    Somebody on the rota who says that they can come stays on it. Somebody on it who
    cannot is taken off, and the organisers are told.

    Raises
    ------
    ValidationError
        If the turn is over or dropped, the rules keep them off, or it is not for
        ``by`` to say.
    """
    plan = lock_plan(turn.plan.ret)
    turn = open_turn(plan, turn, now)
    _require_answerable(plan, volunteer, by)
    if can:
        refuse_unfit(plan, turn, volunteer)
    row = row_of(turn, volunteer, now)
    was_on = row.is_on and bool(row.pk)
    if can and not was_on:
        row.state = TreaderState.CAN
    elif not can:
        row.state, row.by_hand, row.told = TreaderState.CANNOT, False, False
        row.watches = False
    row.changed_at = now
    row.full_clean()
    row.save()
    if was_on and not can and plan.taken_at:
        transaction.on_commit(partial(mail.fell_out, row.pk, now))
    return row


def open_turn(plan: RotaPlan, turn: Treading, now: datetime) -> Treading:
    """Return a turn to come as it is under the lock."""
    row = Treading.objects.of_plan(plan).live().for_page().filter(pk=turn.pk).first()
    if row is None:
        raise ValidationError(_("This turn has been dropped from the rota."))
    if row.at <= now:
        raise ValidationError(_("This turn has begun. Say who trod instead."))
    return row


def row_of(turn: Treading, volunteer: Volunteer, now: datetime) -> Treader:
    """Return what somebody said of a turn, or a new row that says nothing yet."""
    row = Treader.objects.in_turns([turn]).by(volunteer).first()
    return row or Treader(turn=turn, volunteer=volunteer, changed_at=now)


def refuse_unfit(plan: RotaPlan, turn: Treading, volunteer: Volunteer) -> None:
    """Refuse whom the rules on age and briefings keep off the turn."""
    reason = fitness(plan, [volunteer]).refusal(turn, volunteer)
    if reason:
        raise ValidationError(reason.reason)


def _require_answerable(plan: RotaPlan, volunteer: Volunteer, by: User) -> None:
    """Refuse anybody but the person, who answers for them, leads and organisers."""
    where = plan.ret.dam.demonstration
    if volunteer.demonstration_id != where.pk or volunteer.left_at:
        raise ValidationError(_("Choose somebody on the list."))
    if not is_own_or_guardian(volunteer, by) and not may_tick(by, where):
        raise ValidationError(
            _("Only %s, a lead or an organiser can say this.") % volunteer
        )


# The turn and the person, by their keys.
Place = tuple[int, int]


@dataclass(frozen=True, slots=True)
class _Taking:
    """A rota to be taken, beside the plan, its turns to come and its people by now.

    ``wanted`` are its places, each with whether the person watches from the bank.
    """

    plan: RotaPlan
    turns: dict[int, Treading]
    rows: dict[Place, Treader]
    fit: Fitness
    wanted: dict[Place, bool]


@transaction.atomic
def take_rota(
    *, ret: Ret, places: Iterable[tuple[int, int, bool]], by: User, now: datetime
) -> RotaPlan:
    """Take a rota that was worked out, whole or not at all, and tell people.

    ``places`` are (turn, volunteer) keys and whether they watch, as they were shown.
    Each is looked at again as things stand now.

    Raises
    ------
    ValidationError
        If anything changed since that the rota would go against.
    """
    plan = lock_plan(ret)
    require_organiser(plan.ret.dam.demonstration, by)
    taking = _taking(plan, places, now)
    reasons = [_against(taking, place) for place in sorted(taking.wanted)]
    reasons += _left_out(taking)
    changed = list(dict.fromkeys(words for words in reasons if words))
    if changed:
        raise ValidationError(
            [*changed, _("Nothing was saved. Work the rota out again.")]
        )
    _settle_all(taking, now)
    plan.taken_at = plan.taken_at or now
    plan.save(update_fields=["taken_at"])
    mail.tell_changed(plan, now)
    return plan


def _taking(
    plan: RotaPlan, places: Iterable[tuple[int, int, bool]], now: datetime
) -> _Taking:
    coming = Treading.objects.of_plan(plan).live().to_come(now)
    turns = {turn.pk: turn for turn in coming.for_page().in_order()}
    rows = {
        (row.turn_id, row.volunteer_id): row
        for row in Treader.objects.in_turns(turns.values()).with_people()
    }
    people = {row.volunteer_id: row.volunteer for row in rows.values()}
    wanted = {(turn, who): watches for turn, who, watches in places}
    return _Taking(plan, turns, rows, fitness(plan, people.values()), wanted)


def _against(taking: _Taking, place: Place) -> str:
    """Say why one place can no longer be given, if it cannot."""
    turn, row = taking.turns.get(place[0]), taking.rows.get(place)
    if turn is None:
        return _("A turn of this rota has begun or been dropped since.")
    if row is None:
        return _("Somebody has left the list since.")
    names = {"who": row.volunteer, "turn": turn_words(turn)}
    if row.state == TreaderState.CANNOT:
        return _("%(who)s cannot come on %(turn)s any more.") % names
    if not row.is_on and row.by_hand:
        return _("%(who)s has been taken off on %(turn)s since.") % names
    reason = taking.fit.refusal(turn, row.volunteer)
    return reason.reason if reason else ""


def _left_out(taking: _Taking) -> list[str]:
    """Say what the rota lacks: promises, enough people, and one who watches."""
    wanted = taking.wanted
    count = Counter(turn for turn, _who in wanted)
    watchers = Counter(turn for (turn, _who), watches in wanted.items() if watches)
    reasons = [
        _("%(who)s has been put on by hand on %(turn)s since.")
        % {"who": row.volunteer, "turn": turn_words(taking.turns[place[0]])}
        for place, row in taking.rows.items()
        if place[0] in count and place not in wanted and _is_promised(taking, row)
    ]
    if any(people != taking.plan.wanted for people in count.values()):
        reasons.append(_("The plan asks for another number of people since."))
    if any(watchers[turn] != 1 for turn in count):
        reasons.append(_("A turn of this rota has nobody to watch from the bank."))
    return reasons


def _is_promised(taking: _Taking, row: Treader) -> bool:
    """Tell whether somebody was put on by hand and may still come."""
    turn = taking.turns[row.turn_id]
    return row.is_on and row.by_hand and not taking.fit.refusal(turn, row.volunteer)


def _settle_all(taking: _Taking, now: datetime) -> None:
    """Put everybody where the rota has them.

    Those who no longer watch go first: a turn has one watcher.
    """
    wanted = taking.wanted
    for place, row in sorted(
        taking.rows.items(), key=lambda one: wanted.get(one[0], 0)
    ):
        _settle(row, wanted.get(place), is_kept=_is_promised(taking, row), now=now)


def _settle(
    row: Treader, watches: bool | None, *, is_kept: bool, now: datetime
) -> None:
    """Put one person on a turn or off it; a promise stands on a turn still short.

    ``watches`` is None for somebody the rota does not have on this turn.
    """
    if watches is not None or is_kept:
        state = TreaderState.ON
    elif row.is_on:
        state = TreaderState.CAN
    else:
        return
    if watches is None:
        watches = is_kept and row.watches
    if row.state != state:
        row.state, row.by_hand = state, False
    elif row.watches == watches:
        return
    else:
        # They are on it still, in another place, and told so.
        row.told = False
    row.watches, row.changed_at = watches, now
    row.save(update_fields=["state", "changed_at", "by_hand", "watches", "told"])


@transaction.atomic
def put_on(*, turn: Treading, volunteer: Volunteer, by: User, now: datetime) -> Treader:
    """Put somebody on a turn by hand: promised, and kept when it is worked out anew.

    Where enough are treading and nobody watches, they watch.

    Raises
    ------
    ValidationError
        If the rules keep them off, or they have said that they cannot come.
    """
    plan, turn = _locked_for(turn, by, now)
    if volunteer.demonstration_id != plan.ret.dam.demonstration_id:
        raise ValidationError(_("Choose somebody on the list."))
    refuse_unfit(plan, turn, volunteer)
    row = row_of(turn, volunteer, now)
    if row.state == TreaderState.CANNOT:
        raise ValidationError(
            _("%s can't come. If that has changed, change the answer first.")
            % volunteer
        )
    if not row.is_on:
        lack = lack_of(plan, Treader.objects.in_turns([turn]).on().of_active())
        row.watches = lack.watcher and not lack.treading
        if row.watches:
            _unwatch(turn)
    return _by_hand(plan, row, TreaderState.ON, now)


@transaction.atomic
def name_watcher(
    *, turn: Treading, volunteer: Volunteer, by: User, now: datetime
) -> Treader:
    """Say who of a turn watches from the bank; who did before treads instead.

    Raises
    ------
    ValidationError
        If they are not on it, or the rules keep them off.
    """
    plan, turn = _locked_for(turn, by, now)
    row = row_of(turn, volunteer, now)
    if not row.is_on:
        raise ValidationError(_("%s is not on this turn.") % volunteer)
    refuse_unfit(plan, turn, volunteer)
    if not row.watches:
        _unwatch(turn)
        row.watches, row.told = True, False
    return _by_hand(plan, row, TreaderState.ON, now)


def _locked_for(turn: Treading, by: User, now: datetime) -> tuple[RotaPlan, Treading]:
    """Return a turn to come and its plan, locked, for an organiser alone."""
    plan = lock_plan(turn.plan.ret)
    require_organiser(plan.ret.dam.demonstration, by)
    return plan, open_turn(plan, turn, now)


def _unwatch(turn: Treading) -> None:
    """Let nobody watch a turn; who did before is told what they do instead."""
    Treader.objects.in_turns([turn]).watching().update(watches=False, told=False)


@transaction.atomic
def take_off(
    *, turn: Treading, volunteer: Volunteer, by: User, now: datetime
) -> Treader:
    """Take somebody off a turn by hand: kept off when it is worked out anew.

    Raises
    ------
    ValidationError
        If they are not on it.
    """
    plan, turn = _locked_for(turn, by, now)
    row = row_of(turn, volunteer, now)
    if not row.is_on:
        raise ValidationError(_("%s is not on this turn.") % volunteer)
    row.watches = False
    return _by_hand(plan, row, TreaderState.CAN, now)


def drop_turns(ret: Ret, now: datetime) -> None:
    """Drop what is left of a lifted ret's rota, and tell those on it, once.

    The caller has locked the ret.
    """
    plan = RotaPlan.objects.of_ret(ret).for_page().first()
    if plan is None or ret.lifted_at is None:
        return
    left = Treading.objects.of_plan(plan).live().to_come(ret.lifted_at).unrecorded()
    left.update(dropped_at=now)
    mail.tell_changed(plan, now)


def _by_hand(
    plan: RotaPlan, row: Treader, state: TreaderState, now: datetime
) -> Treader:
    row.state, row.by_hand, row.changed_at = state, True, now
    row.full_clean()
    row.save()
    if plan.taken_at:
        mail.tell_changed(plan, now)
    return row
