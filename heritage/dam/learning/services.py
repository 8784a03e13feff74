"""What is written into the test book, how a ret came out, and how rets are reckoned.

A look that was wrong keeps its lines, struck: count only `standing()`.
"""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.common.rows import add_together, fill_in, lock
from heritage.dam.learning.selectors import Look, doubt, look_with, taught
from heritage.dam.models import (
    Check,
    OnStem,
    Outcome,
    Reckoning,
    Ret,
    StruckTest,
)
from heritage.dam.rota.selectors import may_tick
from heritage.people.models import User
from heritage.season.models import Demonstration


@transaction.atomic
def add_look(
    *,
    ret: Ret,
    at: datetime,
    found: Mapping[str, int],
    by: User,
    now: datetime,
    place: str = OnStem.MIDDLE,
    tester: str = "",
    note: str = "",
    sure: bool = True,
) -> list[Check]:
    """Write one look into the test book: how many stems were found how.

    Raises
    ------
    ValidationError
        If the moment is in the future or the flax was not in the dam then, nothing
        was found, or it contradicts what was found before and nobody is ``sure``.
    """
    ret = lock(ret)
    _refuse_wrong_moment(ret, at, now)
    lines = [
        Check(
            ret=ret,
            at=at,
            finding=finding,
            stems=stems,
            place=place,
            tester=tester.strip(),
            note=note,
            entered_by=by,
        )
        for finding, stems in found.items()
        if stems
    ]
    if not lines:
        raise ValidationError(_("Enter how many stems looked like this."))
    for line in lines:
        line.clean_fields(exclude={"ret", "entered_by"})
    words = "" if sure else doubt(ret, lines)
    if words:
        raise ValidationError({"sure": words})
    add_together(lines, parent="ret")
    relearn(ret)
    return lines


def _refuse_wrong_moment(ret: Ret, at: datetime, now: datetime) -> None:
    if at > now:
        raise ValidationError(
            {"at": _("That time is in the future. Enter an earlier one.")}
        )
    if at < ret.began_at:
        raise ValidationError(
            {"at": _("The flax wasn't in the dam yet. Enter a later time.")}
        )
    if ret.lifted_at and at > ret.lifted_at:
        raise ValidationError(
            {"at": _("The flax was out of the dam by then. Enter an earlier time.")}
        )


@transaction.atomic
def strike_look(*, check: Check, why: str, by: User, now: datetime) -> Look:
    """Strike the look that a line is of: it is kept whole, and counts no more.

    Raises
    ------
    ValidationError
        If nobody says why, it is struck already, or it is neither their own test nor
        are they a lead or an organiser.
    """
    ret = lock(check.ret)
    look = look_with(check)
    if look is None:
        raise ValidationError(_("This test was struck out before. Reload the page."))
    if look.written_by != by.pk and not may_tick(by, ret.dam.demonstration):
        words = _("Only the tester, a lead or an organiser can strike this out.")
        raise ValidationError(words)
    if why not in StruckTest:
        raise ValidationError({"why": _("Choose why it doesn't count.")})
    for line in look.lines:
        line.struck_at, line.struck_why = now, why
        line.save(update_fields=["struck_at", "struck_why"])
    relearn(ret)
    return look


@transaction.atomic
def judge(
    *, ret: Ret, verdict: str, after: str, by: User, now: datetime, note: str = ""
) -> Outcome:
    """Write down how the fibre of a lifted ret came out; the last word stands.

    Raises
    ------
    ValidationError
        If the flax is still in the dam.
    """
    ret = lock(ret)
    if ret.lifted_at is None:
        raise ValidationError(_("The flax is still in. Record the lifting first."))
    values = {"verdict": verdict, "after": after, "note": note.strip()}
    outcome = Outcome.objects.filter(ret=ret).first() or Outcome(ret=ret)
    fill_in(outcome, values | {"said_at": now, "said_by": by})
    relearn(ret)
    return outcome


def relearn(ret: Ret) -> None:
    """Reckon anew what a lifted ret says of the next one in its dam.

    To be called, with the ret locked, whenever its readings or tests change.
    """
    if ret.lifted_at is None:
        return
    outcome = Outcome.objects.filter(ret=ret).first() or Outcome(ret=ret)
    told = taught(ret, outcome.verdict)
    outcome.log_factor = told.y if told else None
    outcome.log_factor_sd = told.sd if told else None
    outcome.save()


def learn_from_past(now: datetime) -> int:
    """Learn from rets lifted before there was anything to learn with; once each."""
    rets = Ret.objects.not_learned_from().filter(lifted_at__lte=now)
    for ret in rets:
        with transaction.atomic():
            relearn(lock(ret))
    return len(rets)


@transaction.atomic
def keep_reckoning(
    *, demonstration: Demonstration, values: Mapping[str, Any]
) -> Reckoning:
    """Keep the organiser's settings.

    Raises
    ------
    ValidationError
        By field, if a weight cannot be, or there are means of no named place.
    """
    lock(demonstration)
    row = Reckoning.objects.of(demonstration).first()
    if any(mean is not None for mean in values["month_c"]) and not values["place"]:
        words = _("Say which place these means are of.")
        raise ValidationError({"place": words})
    return fill_in(row or Reckoning(demonstration=demonstration), values)


@transaction.atomic
def keep_basis(*, ret: Ret, values: Mapping[str, Any]) -> Ret:
    """Keep how a ret's flax and water were, and how long before it began to work."""
    ret = lock(ret)
    fill_in(ret, values)
    relearn(ret)
    return ret
