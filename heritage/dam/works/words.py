"""What is said of a dam before and after its fillings, alike on page and paper."""

from datetime import datetime

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from heritage.calc._band import Band
from heritage.calc.supply import Leak
from heritage.dam.models import FlowTest, Ret, Water, WaterAsked

DAY = "j F Y"


def hours_words(hours: Band, volume_m3: float) -> str:
    """Say how long a dam takes to fill."""
    words = _(
        "About %(hours).1f hours to fill its %(volume).1f m³, from %(low).1f to "
        "%(high).1f."
    )
    if hours.low == hours.high:
        words = _(
            "About %(hours).1f hours to fill its %(volume).1f m³, by a flow that "
            "nobody timed."
        )
    return words % {
        "hours": hours.likely,
        "low": hours.low,
        "high": hours.high,
        "volume": volume_m3,
    }


def lost_words() -> str:
    """Say that no time can be told, since the leak may take all."""
    return _(
        "By these measures the dam may lose as much as comes in, so no time to fill it "
        "can be told. Find the leak first."
    )


def flow_words(test: FlowTest, flow: Band) -> str:
    """Say what comes in, and from where."""
    words = _("%(supply)s: %(flow).2f litres a second (%(low).2f to %(high).2f).")
    return words % {
        "supply": test.supply,
        "flow": flow.likely,
        "low": flow.low,
        "high": flow.high,
    }


def leak_words(leak: Leak) -> str:
    """Say what a dam loses, with what the air takes apart from what the ground does."""
    fall, litres = leak.fall_mm.likely, leak.litres
    if fall < 0:
        return _("Rose %d mm a day: this says nothing of a leak.") % round(-fall)
    if leak.leak_mm.low == 0:
        words = _("Fell %d mm a day. The air alone may have taken that.")
        return words % round(fall)
    words = _(
        "Fell %(fall)d mm a day. Apart from what dries off, it leaks about %(litres)s "
        "litres a day (%(low)s to %(high)s)."
    )
    return words % {
        "fall": round(fall),
        "litres": _rounded(litres.likely),
        "low": _rounded(litres.low),
        "high": _rounded(litres.high),
    }


def _rounded(litres: float) -> str:
    """Write litres as people say them: to two figures."""
    step = 10 ** max(0, len(str(int(litres))) - 2)
    return f"{round(litres / step) * step:,}"


def asked_words(asked: WaterAsked) -> str:
    """Add who was asked, and what the answer was, in one line."""
    line = f"{asked.who}: {asked.get_answer_display()}"
    if asked.answered_on:
        line += f", {date_format(asked.answered_on, DAY)}"
    if asked.reference:
        line += f" ({asked.reference})"
    return f"{line}. “{asked.words}”" if asked.words else f"{line}."


def leave_words(asked: WaterAsked) -> str:
    """Say whose leave it was, when, and by which paper."""
    parts = [asked.who]
    if asked.answered_on:
        parts.append(date_format(asked.answered_on, DAY))
    return ", ".join([*parts, *([asked.reference] if asked.reference else [])])


def went_words(ret: Ret, went_at: datetime) -> str:
    """Say where spent water went, by whose leave, and how long the dam rests."""
    words = _("%(what)s from %(leave)s, %(day)s.") % {
        "what": f"{ret.get_water_went_display()}".capitalize(),
        "leave": ret.water_leave,
        "day": date_format(went_at.astimezone(ret.dam.demonstration.zone), DAY),
    }
    if ret.water_to:
        words += f" {ret.water_to.rstrip('.')}."
    if ret.rest_until:
        rest = _("The dam rests until %s.") % date_format(ret.rest_until, DAY)
        words += f" {rest}"
    return words


def lead_words(water: Water, hours: Band | None, *, is_unasked: bool) -> str:
    """Say in one sentence how a dam stands between its fillings."""
    if is_unasked:
        return _(
            "The water is spent. Ask the people who look after your rivers before "
            "anything is done with it, and write the answer here."
        )
    if water == Water.SPENT:
        return _("The water is spent. Do only what the answer allows.")
    if water == Water.WORKING:
        return _(
            "Flax is in it. Ask the people who look after your rivers now about "
            "the water there will be afterwards."
        )
    if water != Water.CLEAN:
        return _("The old water is dealt with. The next filling waits for clean water.")
    if hours:
        return _("Clean, and filled in about %d hours.") % round(hours.likely)
    return _("Clean. Measure what comes in to know how long it takes to fill.")
