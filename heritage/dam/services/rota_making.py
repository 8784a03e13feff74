"""The rota: taken as it was worked out, or changed by hand."""

from collections import Counter
from collections.abc import Sequence
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.dam import mail
from heritage.dam.models import (
    Ret,
    RotaPlan,
    Treader,
    TreaderState,
    Treading,
)
from heritage.dam.selectors import Fitness, fitness, lack_of, turn_words
from heritage.dam.services.offers import open_turn, refuse_unfit, row_of
from heritage.dam.services.rota_plans import hold_plan
from heritage.people.models import User, Volunteer
from heritage.people.services.answering import require_organiser

# The turn, the person, and whether they watch from the bank.
Places = Sequence[tuple[int, int, bool]]


@transaction.atomic
def take_rota(*, ret: Ret, places: Places, by: User, now: datetime) -> RotaPlan:
    """Take a rota that was worked out, whole or not at all, and tell people.

    ``places`` are (turn, volunteer) keys and whether they watch, as they were shown.
    Each is looked at again as things stand now.

    Raises
    ------
    ValidationError
        If anything changed since that the rota would go against.
    """
    plan = hold_plan(ret)
    require_organiser(plan.ret.dam.demonstration, by)
    turns = {turn.pk: turn for turn in _to_come(plan, now)}
    rows = {
        (row.turn_id, row.volunteer_id): row
        for row in Treader.objects.in_turns(turns.values()).with_people()
    }
    fit = fitness(
        plan, {row.volunteer_id: row.volunteer for row in rows.values()}.values()
    )
    wanted = {(turn, who): watches for turn, who, watches in places}
    said = [_against(turns, rows.get(place), fit, place) for place in sorted(wanted)]
    said += _left_out(plan, turns, rows, fit, wanted)
    changed = list(dict.fromkeys(words for words in said if words))
    if changed:
        raise ValidationError(
            [*changed, _("Nothing was taken. Work the rota out again.")]
        )
    # Whoever no longer watches first: a turn has one watcher.
    for place, row in sorted(rows.items(), key=lambda found: wanted.get(found[0], 0)):
        refused = fit.refusal(turns[place[0]], row.volunteer)
        _settle(row, wanted.get(place), refused, now)
    plan.taken_at = plan.taken_at or now
    plan.save(update_fields=["taken_at"])
    mail.tell_changed(plan, now)
    return plan


@transaction.atomic
def put_on(*, turn: Treading, volunteer: Volunteer, by: User, now: datetime) -> Treader:
    """Put somebody on a turn by hand: promised, and kept when it is worked out anew.

    Where enough are treading and nobody watches, they watch.

    Raises
    ------
    ValidationError
        If the rules keep them off, or they have said that they cannot come.
    """
    plan, turn = _held_for(turn, by, now)
    if volunteer.demonstration_id != plan.ret.dam.demonstration_id:
        raise ValidationError(_("They are no volunteer of this demonstration."))
    refuse_unfit(plan, turn, volunteer)
    row = row_of(turn, volunteer, now)
    if row.state == TreaderState.CANNOT:
        raise ValidationError(
            _(
                "%s has said that they cannot come. Ask them, and say first that they "
                "can."
            )
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
    """Say who of a turn watches from the bank; whoever did treads instead.

    Raises
    ------
    ValidationError
        If they are not on it, or the rules keep them off.
    """
    plan, turn = _held_for(turn, by, now)
    row = row_of(turn, volunteer, now)
    if not row.is_on:
        raise ValidationError(_("%s is not on this turn.") % volunteer)
    refuse_unfit(plan, turn, volunteer)
    if not row.watches:
        _unwatch(turn)
        row.watches, row.told = True, False
    return _by_hand(plan, row, TreaderState.ON, now)


def _held_for(turn: Treading, by: User, now: datetime) -> tuple[RotaPlan, Treading]:
    """Return a turn to come and its plan, held, for an organiser alone."""
    plan = hold_plan(turn.plan.ret)
    require_organiser(plan.ret.dam.demonstration, by)
    return plan, open_turn(plan, turn, now)


def _unwatch(turn: Treading) -> None:
    """Let nobody watch a turn; whoever did is told what they do instead."""
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
    plan, turn = _held_for(turn, by, now)
    row = row_of(turn, volunteer, now)
    if not row.is_on:
        raise ValidationError(_("%s is not on this turn.") % volunteer)
    row.watches = False
    return _by_hand(plan, row, TreaderState.CAN, now)


def drop_turns(ret: Ret, now: datetime) -> None:
    """Drop what is left of a lifted ret's rota, and tell whoever was on it, once.

    The ret is held by whoever calls.
    """
    plan = RotaPlan.objects.of_ret(ret).for_page().first()
    if plan is None or ret.lifted_at is None:
        return
    left = Treading.objects.of_plan(plan).live().to_come(ret.lifted_at).unrecorded()
    left.update(dropped_at=now)
    mail.tell_changed(plan, now)


def _to_come(plan: RotaPlan, now: datetime) -> list[Treading]:
    rows = Treading.objects.of_plan(plan).live().to_come(now)
    return list(rows.for_page().in_order())


def _by_hand(
    plan: RotaPlan, row: Treader, state: TreaderState, now: datetime
) -> Treader:
    row.state, row.by_hand, row.changed_at = state, True, now
    row.full_clean()
    row.save()
    if plan.taken_at:
        mail.tell_changed(plan, now)
    return row


def _against(
    turns: dict[int, Treading],
    row: Treader | None,
    fit: Fitness,
    place: tuple[int, int],
) -> str:
    """Say why one place can no longer be given, if it cannot."""
    turn = turns.get(place[0])
    if turn is None:
        return _("A turn of this rota has begun or been dropped since.")
    if row is None:
        return _("Somebody has left the list since.")
    said = {"who": row.volunteer, "turn": turn_words(turn)}
    if row.state == TreaderState.CANNOT:
        return _("%(who)s cannot come on %(turn)s any more.") % said
    if not row.is_on and row.by_hand:
        return _("%(who)s has been taken off on %(turn)s since.") % said
    reason = fit.refusal(turn, row.volunteer)
    return reason.reason if reason else ""


def _left_out(
    plan: RotaPlan,
    turns: dict[int, Treading],
    rows: dict[tuple[int, int], Treader],
    fit: Fitness,
    wanted: dict[tuple[int, int], bool],
) -> list[str]:
    """Say what the rota lacks: promises, enough people, and one who watches."""
    said = []
    count = Counter(turn for turn, _who in wanted)
    watchers = Counter(turn for (turn, _who), watches in wanted.items() if watches)
    for (key, who), row in rows.items():
        promised = row.is_on and row.by_hand and key in count
        if (
            promised
            and (key, who) not in wanted
            and not fit.refusal(turns[key], row.volunteer)
        ):
            words = _("%(who)s has been put on by hand on %(turn)s since.")
            said.append(words % {"who": row.volunteer, "turn": turn_words(turns[key])})
    if any(found != plan.wanted for found in count.values()):
        said.append(_("The plan asks for another number of people since."))
    if any(watchers[turn] != 1 for turn in count):
        said.append(_("A turn of this rota has nobody to watch from the bank."))
    return said


def _settle(row: Treader, watches: bool | None, refused: object, now: datetime) -> None:
    """Put one person on a turn or off it; a promise stands on a turn still short.

    ``watches`` is None for whoever the rota does not have on this turn.
    """
    kept = row.is_on and row.by_hand and not refused
    if watches is not None or kept:
        state = TreaderState.ON
    elif row.is_on:
        state = TreaderState.CAN
    else:
        return
    if watches is None:
        watches = bool(kept) and row.watches
    if row.state != state:
        row.state, row.by_hand = state, False
    elif row.watches == watches:
        return
    else:
        # They are on it still, in another place, and told so.
        row.told = False
    row.watches, row.changed_at = watches, now
    row.save(update_fields=["state", "changed_at", "by_hand", "watches", "told"])
