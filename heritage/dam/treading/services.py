"""The book of the treading: who trod, when, and what they saw.

The watcher is a mark on one row of the turn (`Treader.watches`). No turn is in the book
as trodden by one, or with nobody who watched, without the words that say why; triggers
keep it, so people are marked before the turn is written. Three who took turns at
watching are enough. On a turn to come one too few is a gap, which may be, since
somebody can always fall out.
"""

from collections import defaultdict
from collections.abc import Sequence
from datetime import datetime
from functools import partial
from typing import NoReturn

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.dam.models import (
    NEVER_ALONE,
    Ret,
    Treader,
    TreaderQuerySet,
    TreaderState,
    Treading,
    were_enough,
)
from heritage.dam.rota import mail
from heritage.dam.rota.selectors import may_tick
from heritage.dam.rota.services import lock_ret
from heritage.dam.treading.selectors import EARLY
from heritage.people.models import User, Volunteer
from heritage.season.models import Demonstration


@transaction.atomic
def record_treading(
    *,
    turn: Treading,
    people: Sequence[Volunteer],
    watcher: Volunteer | None,
    trodden_at: datetime,
    note: str,
    why_alone: str,
    by: User,
    now: datetime,
) -> Treading:
    """Who trod? and who watched; only a lead or organiser changes it later.

    Raises
    ------
    ValidationError
        If it is not time yet, nobody is named, one trod alone or nobody watched and
        nobody says why, somebody is not of this demonstration, or it is written.
    """
    ret = lock_ret(turn.plan.ret)
    where = ret.dam.demonstration
    turn = Treading.objects.for_page().get(pk=turn.pk)
    _refuse_moment(turn, trodden_at, now)
    if turn.trodden_at and not may_tick(by, where):
        raise ValidationError(
            _("Somebody has already entered it. Ask a lead to correct it.")
        )
    if not people:
        raise ValidationError({"people": _("Tick everybody who trod.")})
    named = [*people, *([watcher] if watcher else [])]
    if any(who.demonstration_id != where.pk for who in named):
        raise ValidationError({"people": _("Tick people on the list.")})
    enough = were_enough([who.pk for who in people], [watcher.pk] if watcher else [])
    if not enough and not why_alone:
        _refuse_too_few(people, watcher)
    if turn.trodden_at:
        # Opened while its people change: the database looks when it is written again.
        turn.trodden_at = turn.recorded_at = turn.recorded_by = None
        turn.save(update_fields=["trodden_at", "recorded_at", "recorded_by"])
    _mark(turn, people, watcher, now)
    turn.trodden_at, turn.note = trodden_at, note
    turn.why_alone = "" if enough else why_alone
    turn.recorded_at, turn.recorded_by = now, by
    turn.full_clean()
    turn.save()
    return turn


def _refuse_too_few(people: Sequence[Volunteer], watcher: Volunteer | None) -> NoReturn:
    """Refuse a treading by one, or that nobody watched, until it says why."""
    if len(people) < NEVER_ALONE:
        words = _(
            "Nobody treads alone. Tick who was there too; if one person did tread "
            "alone, say here how."
        )
    elif watcher in people:
        words = (
            _(
                "%s can't tread and watch at once, unless three took turns. Choose who "
                "watched from the bank; if nobody did, say here how."
            )
            % watcher
        )
    else:
        words = _(
            "Choose who watched from the bank. If nobody did, say here how that came "
            "about."
        )
    raise ValidationError({"why_alone": words})


def _refuse_moment(turn: Treading, trodden_at: datetime, now: datetime) -> None:
    """Refuse a moment that is not the turn's own."""
    if now < turn.at - EARLY:
        raise ValidationError(
            _("This turn hasn't begun yet. Say who trod once it has.")
        )
    if turn.dropped_at:
        raise ValidationError(_("This turn has been dropped from the rota."))
    if trodden_at > now:
        raise ValidationError(
            {"trodden_at": _("That time is in the future. Enter an earlier one.")}
        )
    zone = turn.plan.ret.dam.demonstration.zone
    early = trodden_at < turn.at - EARLY
    if early or trodden_at.astimezone(zone).date() != turn.day:
        words = _("Give a time on %(day)s, from an hour before the turn.")
        raise ValidationError(
            {"trodden_at": words % {"day": f"{turn.day.day} {turn.day:%B}"}}
        )
    lifted = turn.plan.ret.lifted_at
    if lifted and trodden_at > lifted:
        raise ValidationError(
            {
                "trodden_at": _(
                    "The flax was out of the dam by then. Enter an earlier time."
                )
            }
        )


def _mark(
    turn: Treading,
    people: Sequence[Volunteer],
    watcher: Volunteer | None,
    now: datetime,
) -> None:
    """Say of everybody on the turn whether they trod or watched; add who came besides.

    The watcher comes last: a turn has one.
    """
    trod, watched = {who.pk for who in people}, watcher.pk if watcher else None
    rows = {row.volunteer_id: row for row in Treader.objects.in_turns([turn])}
    for who in [*people, *([watcher] if watcher else [])]:
        new = Treader(turn=turn, volunteer=who, state=TreaderState.CAN, changed_at=now)
        rows.setdefault(who.pk, new)
    for key, row in sorted(rows.items(), key=lambda one: one[0] == watched):
        came = key in trod or key == watched
        if row.is_on or row.trod is not None or came:
            row.trod, row.watches = key in trod, key == watched
            row.save()


@transaction.atomic
def leave_treading(*, volunteer_key: int, now: datetime) -> None:
    """Forget what somebody said of every turn they did not tread.

    A turn to come that they were on shows as a gap from then on; those still on
    it and the organisers are told, without a name.
    """
    rows = Treader.objects.filter(volunteer=volunteer_key).untrodden()
    rets = Ret.objects.filter(rota__turns__treaders__in=rows).distinct()
    for ret in rets.order_by("pk"):
        lock_ret(ret)
    _tell_of(rows.lost_when_gone(now), now)
    rows.delete()


def let_go_of_gone(now: datetime) -> int:
    """Take people off the list off their turns to come; say how many turns.

    The list of people knows nothing of the rota, so this is looked after every few
    minutes. Somebody who comes back says anew when they can.
    """
    gone = Treader.objects.lost_when_gone(now).of_gone()
    rets = Ret.objects.filter(rota__turns__treaders__in=gone).distinct()
    return sum(_let_go(ret, now) for ret in rets.order_by("pk"))


@transaction.atomic
def _let_go(ret: Ret, now: datetime) -> int:
    ret = lock_ret(ret)
    gone = Treader.objects.lost_when_gone(now).of_gone()
    rows = gone.filter(turn__plan__ret=ret)
    keys = list(rows.values_list("pk", flat=True))
    turns = _tell_of(rows, now)
    Treader.objects.filter(pk__in=keys).update(
        state=TreaderState.CANNOT,
        by_hand=False,
        watches=False,
        told=False,
        changed_at=now,
    )
    return turns


def _tell_of(rows: TreaderQuerySet, now: datetime) -> int:
    """Tell of the turns of some rows once they are gone, ret by ret."""
    by_ret: defaultdict[int, set[int]] = defaultdict(set)
    for turn, ret in rows.values_list("turn", "turn__plan__ret"):
        by_ret[ret].add(turn)
    for turns in by_ret.values():
        transaction.on_commit(partial(mail.lost, sorted(turns), now))
    return sum(map(len, by_ret.values()))


def lock_rets(demonstration: Demonstration) -> None:
    """Let nobody change any rota of a demonstration until we are done.

    For a service that takes a person off everywhere. It comes before a lock on people,
    as in a letter about a rota.
    """
    rows = Ret.objects.of(demonstration).select_for_update(of=("self",))
    list(rows.order_by("pk").values_list("pk"))
