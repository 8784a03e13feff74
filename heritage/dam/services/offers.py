"""What people say of the turns: that they can come, or cannot."""

from datetime import datetime
from functools import partial

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.dam import mail
from heritage.dam.models import RotaPlan, Treader, TreaderState, Treading
from heritage.dam.selectors import fitness, may_tick
from heritage.dam.services.rota_plans import hold_plan
from heritage.people.models import User, Volunteer
from heritage.people.services.answering import is_own_or_guardian


@transaction.atomic
def answer(
    *, turn: Treading, volunteer: Volunteer, can: bool, by: User, now: datetime
) -> Treader:
    """Write down whether somebody can come to a turn.

    Whoever is on the rota and says that they can come stays on it. Whoever is on it
    and cannot is taken off, and the organisers are told.

    Raises
    ------
    ValidationError
        If the turn is over or dropped, the rules keep them off, or it is not for
        ``by`` to say.
    """
    plan = hold_plan(turn.plan.ret)
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
    found = Treading.objects.of_plan(plan).live().for_page().filter(pk=turn.pk).first()
    if found is None:
        raise ValidationError(_("This turn has been dropped from the rota."))
    if found.at <= now:
        raise ValidationError(_("This turn has begun: write down who trod instead."))
    return found


def row_of(turn: Treading, volunteer: Volunteer, now: datetime) -> Treader:
    """Return what somebody said of a turn, or a new row that says nothing yet."""
    found = Treader.objects.in_turns([turn]).by(volunteer).first()
    new = Treader(turn=turn, volunteer=volunteer, changed_at=now)
    return found or new


def refuse_unfit(plan: RotaPlan, turn: Treading, volunteer: Volunteer) -> None:
    """Refuse whom the rules on age and briefings keep off the turn."""
    reason = fitness(plan, [volunteer]).refusal(turn, volunteer)
    if reason:
        raise ValidationError(reason.reason)


def _require_answerable(plan: RotaPlan, volunteer: Volunteer, by: User) -> None:
    """Refuse anybody but the person, who answers for them, leads and organisers."""
    where = plan.ret.dam.demonstration
    if volunteer.demonstration_id != where.pk or volunteer.left_at:
        raise ValidationError(_("They are no volunteer of this demonstration."))
    if not is_own_or_guardian(volunteer, by) and not may_tick(by, where):
        raise ValidationError(
            _("Only %s, a lead or an organiser may say this.") % volunteer
        )
