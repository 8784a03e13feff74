"""The book of the treading: who trod, when, and what they saw."""

from collections import defaultdict
from collections.abc import Sequence
from datetime import datetime
from functools import partial

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.dam import mail
from heritage.dam.models import (
    NEVER_ALONE,
    Ret,
    Treader,
    TreaderQuerySet,
    TreaderState,
    Treading,
)
from heritage.dam.selectors import EARLY, may_tick
from heritage.dam.services.rota_plans import hold
from heritage.people.models import User, Volunteer
from heritage.season.models import Demonstration


@transaction.atomic
def record_treading(
    *,
    turn: Treading,
    people: Sequence[Volunteer],
    trodden_at: datetime,
    note: str,
    why_alone: str,
    by: User,
    now: datetime,
) -> Treading:
    """Write down who trod; what stands in the book only a lead or organiser changes.

    Raises
    ------
    ValidationError
        If it is not time yet, nobody is named, one trod alone and nobody says why,
        somebody is not of this demonstration, or it is written already.
    """
    ret = hold(turn.plan.ret)
    where = ret.dam.demonstration
    turn = Treading.objects.for_page().get(pk=turn.pk)
    _refuse_moment(turn, trodden_at, now)
    if turn.trodden_at and not may_tick(by, where):
        raise ValidationError(_("It is in the book. Ask a lead to put it right."))
    if not people:
        raise ValidationError({"people": _("Tick everybody who trod.")})
    if any(who.demonstration_id != where.pk for who in people):
        raise ValidationError({"people": _("Tick people of this demonstration.")})
    if len(people) < NEVER_ALONE and not why_alone:
        raise ValidationError(
            {
                "why_alone": _(
                    "Nobody treads alone. Tick whoever was there too; if one person "
                    "did tread alone, say here how that came about."
                )
            }
        )
    alone = len(people) < NEVER_ALONE
    if alone:
        # The reason before the count: the database lets no turn be without either.
        turn.why_alone = why_alone
        turn.save(update_fields=["why_alone"])
    _mark(turn, people, now)
    turn.trodden_at, turn.note = trodden_at, note
    turn.why_alone = why_alone if alone else ""
    turn.recorded_at, turn.recorded_by = now, by
    turn.full_clean()
    turn.save()
    return turn


def _refuse_moment(turn: Treading, trodden_at: datetime, now: datetime) -> None:
    """Refuse a moment that is not the turn's own."""
    if now < turn.at - EARLY:
        raise ValidationError(_("It is not time for this turn yet."))
    if turn.dropped_at:
        raise ValidationError(_("This turn has been dropped from the rota."))
    if trodden_at > now:
        raise ValidationError({"trodden_at": _("That moment has not come yet.")})
    zone = turn.plan.ret.dam.demonstration.zone
    early = trodden_at < turn.at - EARLY
    if early or trodden_at.astimezone(zone).date() != turn.day:
        words = _("Give a time on %(day)s, from an hour before the turn.")
        raise ValidationError(
            {"trodden_at": words % {"day": f"{turn.day.day} {turn.day:%B}"}}
        )
    lifted = turn.plan.ret.lifted_at
    if lifted and trodden_at > lifted:
        raise ValidationError({"trodden_at": _("The flax was out of the dam by then.")})


def _mark(turn: Treading, people: Sequence[Volunteer], now: datetime) -> None:
    """Say of everybody on the turn whether they trod, and add who came besides.

    Whoever trod is marked before the mark is taken off anybody.
    """
    trod = {who.pk for who in people}
    rows = {row.volunteer_id: row for row in Treader.objects.in_turns([turn])}
    for who in people:
        if who.pk not in rows:
            Treader.objects.create(
                turn=turn,
                volunteer=who,
                state=TreaderState.CAN,
                trod=True,
                changed_at=now,
            )
    for key, row in sorted(rows.items(), key=lambda found: found[0] not in trod):
        if row.is_on or row.trod is not None or key in trod:
            row.trod = key in trod
            row.save(update_fields=["trod"])


@transaction.atomic
def leave_treading(*, volunteer_key: int, now: datetime) -> None:
    """Forget what somebody said of every turn they did not tread.

    A turn to come that they were on shows as a gap from then on; whoever is still on
    it and the organisers are told, without a name.
    """
    rows = Treader.objects.filter(volunteer=volunteer_key).untrodden()
    rets = Ret.objects.filter(rota__turns__treaders__in=rows).distinct()
    for ret in rets.order_by("pk"):
        hold(ret)
    _tell_of(rows.lost_when_gone(now), now)
    rows.delete()


def let_go_of_gone(now: datetime) -> int:
    """Take whoever is off the list off their turns to come; say how many turns.

    The list of people knows nothing of the rota, so this is looked after every few
    minutes. Whoever comes back says anew when they can.
    """
    gone = Treader.objects.lost_when_gone(now).of_gone()
    rets = Ret.objects.filter(rota__turns__treaders__in=gone).distinct()
    return sum(_let_go(ret, now) for ret in rets.order_by("pk"))


@transaction.atomic
def _let_go(ret: Ret, now: datetime) -> int:
    held = hold(ret)
    gone = Treader.objects.lost_when_gone(now).of_gone()
    rows = gone.filter(turn__plan__ret=held)
    keys = list(rows.values_list("pk", flat=True))
    turns = _tell_of(rows, now)
    Treader.objects.filter(pk__in=keys).update(
        state=TreaderState.CANNOT, by_hand=False, told=False, changed_at=now
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


def hold_rets(demonstration: Demonstration) -> None:
    """Let nobody change any rota of a demonstration until we are done.

    For whoever takes a person off everywhere. It comes before a lock on people, as
    in a letter about a rota.
    """
    rows = Ret.objects.of(demonstration).select_for_update(of=("self",))
    list(rows.order_by("pk").values_list("pk"))
