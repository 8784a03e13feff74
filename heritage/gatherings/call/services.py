"""The call: go ahead, wait and see or call off, with its reasons.

What the service answered is kept until it expires, and is asked for again only if it
has changed. Nothing that goes wrong here stops a call: the fields stay to be typed.

A forecast is read when somebody presses, and fills only what is empty. `kits.forecast`
reads one documented public format, bounded in time and size; what it filled in comes
back with the form, signed, so that the call says of each condition whether it was
typed. Forecast thunder lowers "go ahead" to "wait and see": our own rule.

Why an evening was off is chosen from a list, never read from words. Only rain and a
wet crop make a wet evening for the finish forecast; every other reason says nothing
about the next day's weather.

What is decided on a page is told a minute later (`TAKE_BACK`): until then the one who
decided may take it back, and nobody has heard of it.
"""

import uuid
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import partial

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.common.rows import fill_in
from heritage.gatherings.call.selectors import Advice, advise
from heritage.gatherings.ground.selectors import matter_of
from heritage.gatherings.ground.services import lock_gathering, require_lead
from heritage.gatherings.letters import mail
from heritage.gatherings.models import (
    TAKE_BACK,
    Call,
    Decision,
    Gathering,
    GatheringStatus,
    RainAhead,
    WhyOff,
)
from heritage.gatherings.places.services import fill, give_time_again
from heritage.kits.forecast import (
    Forecast,
    ForecastError,
    Hour,
    hours_between,
)
from heritage.people.letters.services import send_held
from heritage.people.letters.services import take_back as take_letters_back
from heritage.people.models import User
from heritage.season.forecast.services import forecast_at, why_unread
from heritage.season.models import Demonstration

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
    held_for: timedelta | None = None,
) -> Call:
    """Decide on a gathering, and tell everybody with a place, once.

    The same key twice is the same call, and the same decision said again is told
    only to those who were not told yet. Calling off asks why (``why_off``), and is
    told to those who wait as well. ``sources`` says of
    each reading that came from a forecast for when it was and when it was read;
    ``thunder_at`` when the forecast has thunder. A call on several evenings
    at once is told together, and so not of each (``tells``). Letters wait for
    ``held_for``, and until then `take_back` undoes it.
    """
    gathering = lock_gathering(gathering)
    require_lead(gathering, by)
    key = key or uuid.uuid4()
    earlier = gathering.calls.filter(key=key).first()
    if earlier:
        return earlier
    _require_callable(gathering, decision, why_off, now)
    advice = advise(gathering, readings, now, thunder_at=thunder_at)
    _require_reason(advice, decision, note)
    values = {
        "decision": decision,
        "why_off": (why_off or "") if decision == Decision.OFF else "",
        "advice": advice.decision,
        "reasons": list(advice.reasons),
        "conditions": advice.conditions,
        "sources": dict(sources or {}),
        "note": note,
        "made_at": now,
        "made_by": by,
        "key": key,
    }
    call = fill_in(Call(gathering=gathering), values)
    not_before = now + held_for if held_for else None
    _carry_out(gathering, call, now, tells, not_before)
    return call


@transaction.atomic
def take_back(*, call: Call, by: User, now: datetime) -> int:
    """Undo a decision that nobody has been written to about; the one before holds.

    Returns how many people were told in another way meanwhile.

    Raises
    ------
    ValidationError
        If its letters have gone or may have, if a later one holds, or if it called
        the gathering on again: places have been given since.
    """
    gathering = lock_gathering(call.gathering)
    require_lead(gathering, by)
    calls = list(gathering.calls.newest_first()[:2])
    before = calls[1].decision if len(calls) > 1 else ""
    is_new = bool(calls) and calls[0].pk == call.pk
    is_on_again = before == Decision.OFF and call.decision != Decision.OFF
    if not is_new or is_on_again or now >= call.made_at + TAKE_BACK:
        raise ValidationError(
            _("It's too late to take that back. Decide again, and everybody is told.")
        )
    told = take_letters_back(
        demonstration=gathering.demonstration,
        about=matter_of(gathering),
        written_at=call.made_at,
        now=now,
    )
    call.delete()
    if gathering.is_called_off and before != Decision.OFF:
        _set_status(gathering, GatheringStatus.POSTED, now)
    return told


@transaction.atomic
def send_now(*, call: Call, by: User, now: datetime) -> int:
    """Send the letters about a decision that are held; return how many."""
    gathering = lock_gathering(call.gathering)
    require_lead(gathering, by)
    return send_held(
        demonstration=gathering.demonstration,
        about=matter_of(gathering),
        written_at=call.made_at,
        now=now,
    )


def _require_callable(
    gathering: Gathering, decision: Decision, why_off: WhyOff | None, now: datetime
) -> None:
    if gathering.is_draft:
        raise ValidationError(_("Post the gathering before you decide."))
    if now >= gathering.ends_at:
        raise ValidationError(
            _("This gathering is over, so there's nothing to decide.")
        )
    if gathering.is_called_off and decision == Decision.HOLD:
        raise ValidationError(
            {
                "decision": _(
                    "It's been called off, and everybody was told. Put it on again, "
                    "or leave it off."
                )
            }
        )
    if decision == Decision.OFF and why_off is None:
        raise ValidationError({"why_off": _("Choose why it is off.")})


def _require_reason(advice: Advice, decision: Decision, note: str) -> None:
    """Ask for words where the decision is bolder than the figures."""
    if BOLDNESS[decision] > BOLDNESS[advice.decision] and not note.strip():
        words = _("The advice is more careful. Say why you decide otherwise.")
        if not advice.is_given:
            words = _("Add the weather, or say why you can decide without it.")
        raise ValidationError({"note": words})


def _carry_out(
    gathering: Gathering,
    call: Call,
    now: datetime,
    tells: bool,
    not_before: datetime | None,
) -> None:
    since, before = _streak(gathering, call)
    off, was_off = call.decision == Decision.OFF, gathering.is_called_off
    if tells:
        tell = _letter(Decision(call.decision), before)
        transaction.on_commit(partial(tell, call.pk, since.pk, not_before))
    if off == was_off:
        return
    if not off:
        give_time_again(gathering, now)
    status = GatheringStatus.CALLED_OFF if off else GatheringStatus.POSTED
    _set_status(gathering, status, now)


def _set_status(gathering: Gathering, status: GatheringStatus, now: datetime) -> None:
    """Call it off or on; the queue moves up where there is room."""
    gathering.status = status
    gathering.sequence += 1
    gathering.revised_at = now
    gathering.save(update_fields=["status", "sequence", "revised_at"])
    for station in gathering.stations.in_order():
        fill(gathering, station, now)


def _streak(gathering: Gathering, call: Call) -> tuple[Call, str]:
    """Return the call that first said what holds now, and what was said before it."""
    since = call
    for earlier in gathering.calls.newest_first():
        if earlier.decision != call.decision:
            return since, earlier.decision
        since = earlier
    return since, ""


def _letter(
    decision: Decision, before: str
) -> Callable[[int, int, datetime | None], None]:
    if decision == Decision.GO and before == Decision.OFF:
        return mail.back_on
    return {
        Decision.GO: mail.going_ahead,
        Decision.HOLD: mail.on_hold,
        Decision.OFF: mail.called_off,
    }[decision]


@dataclass(frozen=True, slots=True)
class Foreseen:
    """One reading of the forecast, and the hour it is for."""

    value: float
    hour: datetime


@dataclass(frozen=True, slots=True)
class EveningForecast:
    """What is forecast for a gathering: its worst rain and wind, its first hour's air.

    ``readings`` are keyed as the calculation names them.
    """

    readings: dict[str, Foreseen]
    thunder_at: datetime | None
    read_at: datetime


def read_forecast(gathering: Gathering, now: datetime) -> EveningForecast:
    """Return what is forecast for what is left of a gathering.

    Raises
    ------
    ForecastError
        If the service cannot be read (see its code), has nothing for these hours
        (``missing``), or its forecast is out of date (``stale``).
    """
    forecast = forecast_at(gathering.demonstration, now)
    _keep_rain(gathering.demonstration, forecast, now)
    start = max(now, gathering.starts_at)
    hours = hours_between(forecast, start, gathering.ends_at)
    if not hours:
        raise ForecastError("missing")
    return _of_evening(hours, now)


def why_not(error: ForecastError) -> str:
    """Say in plain words why the forecast could not be read, and what to do."""
    reason = why_unread(error)
    if error.code == "missing":
        reason = _("The forecast does not reach that evening hour by hour yet.")
    return _("%s Nothing was filled in: write what you see.") % reason


def _keep_rain(where: Demonstration, forecast: Forecast, now: datetime) -> None:
    """Keep the rain of all its hours, for the finish forecast's next days."""
    hours = {hour.starts.isoformat(): hour.rain_mm_per_h for hour in forecast.hours}
    values = {"made_at": forecast.made_at, "read_at": now, "hours": hours}
    RainAhead.objects.update_or_create(demonstration=where, defaults=values)


def _of_evening(hours: tuple[Hour, ...], now: datetime) -> EveningForecast:
    first = hours[0]
    wettest = max(hours, key=lambda hour: hour.rain_mm_per_h)
    windiest = max(hours, key=lambda hour: hour.wind_ms)
    thunder = [hour.starts for hour in hours if hour.has_thunder]
    return EveningForecast(
        readings={
            "rain_mm_per_h": Foreseen(wettest.rain_mm_per_h, wettest.starts),
            "wind_ms": Foreseen(windiest.wind_ms, windiest.starts),
            "temp_c": Foreseen(first.temp_c, first.starts),
            "relative_humidity": Foreseen(
                min(100.0, first.relative_humidity), first.starts
            ),
        },
        thunder_at=thunder[0] if thunder else None,
        read_at=now,
    )
