"""The call: go ahead, hold or call off, with its reasons."""

import uuid
from collections.abc import Callable, Mapping
from datetime import datetime
from functools import partial

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.gatherings import mail
from heritage.gatherings.models import (
    Call,
    Decision,
    Gathering,
    GatheringStatus,
    WhyOff,
)
from heritage.gatherings.selectors import Advice, advise
from heritage.gatherings.services.locking import hold, require_lead
from heritage.gatherings.services.queue import fill, give_time_again
from heritage.people.models import User

BOLDNESS = {Decision.OFF: 0, Decision.HOLD: 1, Decision.GO: 2}


@transaction.atomic
def make_call(
    *,
    gathering: Gathering,
    readings: Mapping[str, float | None],
    decision: Decision,
    by: User,
    now: datetime,
    why_off: WhyOff | None = None,
    note: str = "",
    key: uuid.UUID | None = None,
    sources: Mapping[str, Mapping[str, str]] | None = None,
    thunder_at: datetime | None = None,
    tells: bool = True,
) -> Call:
    """Decide on a gathering, and tell everybody with a place, once.

    The same key twice is the same call, and the same decision said again is told
    only to those who were not told yet. Calling off asks why (``why_off``), and is
    told to those who wait as well. ``sources`` says of
    each reading that came from a forecast for when it was and when it was read;
    ``thunder_at`` when the forecast has thunder. Whoever decides on several evenings
    at once tells people of them together, and so not of each (``tells``).
    """
    gathering = hold(gathering)
    require_lead(gathering, by)
    key = key or uuid.uuid4()
    earlier = gathering.calls.filter(key=key).first()
    if earlier:
        return earlier
    _require_callable(gathering, decision, now)
    if decision == Decision.OFF and why_off is None:
        raise ValidationError({"why_off": _("Choose why it is off.")})
    advice = advise(gathering, readings, now, thunder_at=thunder_at)
    _require_reason(advice, decision, note)
    made = Call(
        gathering=gathering,
        decision=decision,
        why_off=(why_off or "") if decision == Decision.OFF else "",
        advice=advice.decision,
        reasons=list(advice.reasons),
        conditions=advice.conditions,
        sources=dict(sources or {}),
        note=note,
        made_at=now,
        made_by=by,
        key=key,
    )
    made.full_clean()
    made.save()
    _carry_out(gathering, made, now, tells)
    return made


def _require_callable(gathering: Gathering, decision: Decision, now: datetime) -> None:
    if gathering.is_draft:
        raise ValidationError(_("Post the gathering before you make the call."))
    if now >= gathering.ends_at:
        raise ValidationError(_("This gathering is over: there is nothing to call."))
    if gathering.is_called_off and decision == Decision.HOLD:
        raise ValidationError(
            {
                "decision": _(
                    "It has been called off, and everybody was told. "
                    "Call it on again, or leave it off."
                )
            }
        )


def _require_reason(advice: Advice, decision: Decision, note: str) -> None:
    """Ask for words where the decision is bolder than the figures."""
    if BOLDNESS[decision] > BOLDNESS[advice.decision] and not note.strip():
        raise ValidationError(
            {
                "note": _(
                    "The figures advise more caution. Say in your own words why you "
                    "decide otherwise."
                )
            }
        )


def _carry_out(gathering: Gathering, made: Call, now: datetime, tells: bool) -> None:
    since, before = _streak(gathering, made)
    off, was_off = made.decision == Decision.OFF, gathering.is_called_off
    if tells:
        tell = _letter(Decision(made.decision), before)
        transaction.on_commit(partial(tell, made.pk, since.pk))
    if off == was_off:
        return
    gathering.status = GatheringStatus.CALLED_OFF if off else GatheringStatus.POSTED
    gathering.sequence += 1
    gathering.revised_at = now
    gathering.save(update_fields=["status", "sequence", "revised_at"])
    if not off:
        give_time_again(gathering, now)
    for station in gathering.stations.in_order():
        fill(gathering, station, now)


def _streak(gathering: Gathering, made: Call) -> tuple[Call, str]:
    """Return the call that first said what holds now, and what was said before it."""
    since = made
    for earlier in gathering.calls.newest_first():
        if earlier.decision != made.decision:
            return since, earlier.decision
        since = earlier
    return since, ""


def _letter(decision: Decision, before: str) -> Callable[[int, int], None]:
    if decision == Decision.GO and before == Decision.OFF:
        return mail.back_on
    return {
        Decision.GO: mail.going_ahead,
        Decision.HOLD: mail.on_hold,
        Decision.OFF: mail.called_off,
    }[decision]
