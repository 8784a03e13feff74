"""Dams and rets: measured, filled, let go, lifted, tested."""

from collections.abc import Mapping
from datetime import date, datetime, tzinfo
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from heritage.common.rows import fill_in, lock
from heritage.dam.filling import services as filling
from heritage.dam.learning.selectors import Look
from heritage.dam.learning.services import relearn
from heritage.dam.lifting.selectors import last_test, says_so
from heritage.dam.models import (
    Check,
    Dam,
    FillEvening,
    Reading,
    Ret,
    Treading,
    Water,
)
from heritage.dam.rota.services import drop_turns
from heritage.dam.works.selectors import rests_until
from heritage.lots.models import Lot
from heritage.people.models import User


@transaction.atomic
def keep_dam(*, dam: Dam, values: Mapping[str, Any]) -> Dam:
    """Add a dam, or change its measures.

    Raises
    ------
    ValidationError
        If a measure could not be, the name is taken, or the water now in the dam
        would not fit it.
    """
    if dam.pk:
        dam = lock(dam)
    fill_in(dam, values)
    _refuse_shallower_than_water(dam)
    return dam


def _refuse_shallower_than_water(dam: Dam) -> None:
    ret = Ret.objects.in_dam(dam).going().first()
    if ret and ret.water_depth_m > dam.depth_m:
        raise ValidationError(
            {
                "depth_m": _(
                    "There's %(water)s m of water in this dam, so it's at least that "
                    "deep."
                )
                % {"water": ret.water_depth_m}
            }
        )


@transaction.atomic
def fill(
    *,
    dam: Dam,
    began_at: datetime,
    beets: int,
    water_depth_m: Decimal,
    beet_dry_kg: Decimal | None,
    now: datetime,
    why_more: str = "",
    lots: Mapping[Lot, int] | None = None,
    mixed: bool = False,
    by: User | None = None,
    sure: bool = False,
) -> Ret:
    """Begin a ret: the flax is in the dam and under water.

    ``lots`` are the beets of each lot that went in; without them the oldest go first.
    They are kept apart in the dam, unless they are ``mixed`` and are one lot from then.

    Raises
    ------
    ValidationError
        If there is flax in the dam already or its water is not clean, there are more
        beets than were pulled and are not elsewhere and nobody said why, the lots
        come to another number, the water would stand above the rim, or the ret would
        begin in the future or before the dam had clean water; and under ``sure``, a
        question, if the dam was to rest for longer.
    """
    # Locked, so that two dams filled at once do not both take the same beets.
    lock(dam.demonstration)
    ret = Ret(
        dam=lock(dam),
        began_at=began_at,
        beets=beets,
        water_depth_m=water_depth_m,
        beet_dry_kg=beet_dry_kg,
        why_more=why_more.strip(),
    )
    _refuse_deeper_than_dam(ret)
    _refuse_wrong_start(ret, now)
    if not sure:
        _ask_about_rest(ret)
    if lots is None:
        filling.refuse_beets_from_nowhere(ret)
    else:
        filling.refuse_other_lots(ret, lots)
    ret.full_clean()
    shares = filling.oldest_first(ret) if lots is None else lots
    ret.save()
    filling.put_in(ret, shares, mixed=mixed, by=by, now=now)
    FillEvening.objects.of_dam(ret.dam).to_come().update(ret=ret)
    return ret


@transaction.atomic
def lift(
    *,
    ret: Ret,
    lifted_at: datetime,
    now: datetime,
    why_untested: str = "",
    by: User | None = None,
) -> Ret:
    """Record that the flax was lifted out of the dam, onto the grass.

    Its rota ends with it.

    Raises
    ------
    ValidationError
        If it was lifted already, the moment is in the future, before the ret began,
        or before its last reading, test or treading, or the last test did not find
        that the wood draws free and nobody said why it was lifted all the same.
    """
    ret = lock(ret)
    if ret.lifted_at:
        raise ValidationError(_("This flax has already been lifted."))
    _refuse_future(lifted_at, now, "lifted_at")
    if lifted_at <= ret.began_at:
        raise ValidationError({"lifted_at": _("Enter a time after the flax went in.")})
    if Reading.objects.in_ret(ret).standing().after(lifted_at).exists():
        raise ValidationError(
            {
                "lifted_at": _(
                    "There's a later reading with the flax still in. Enter a "
                    "later time."
                )
            }
        )
    if Check.objects.in_ret(ret).standing().after(lifted_at).exists():
        raise ValidationError(
            {"lifted_at": _("The flax was tested later than that. Enter a later time.")}
        )
    if Treading.objects.of_ret(ret).trodden_after(lifted_at).exists():
        raise ValidationError(
            {
                "lifted_at": _(
                    "The flax was trodden later than that. Enter a later time."
                )
            }
        )
    ret.lifted_at, ret.why_untested = lifted_at, why_untested.strip()
    _refuse_untested(ret, last_test(ret, lifted_at))
    ret.full_clean()
    ret.save(update_fields=["lifted_at", "why_untested"])
    filling.take_out(ret, at=lifted_at, by=by, now=now)
    relearn(ret)
    drop_turns(ret, now)
    return ret


@transaction.atomic
def let_water_go(
    *,
    ret: Ret,
    went: str,
    leave: str,
    went_at: datetime,
    now: datetime,
    water_to: str = "",
    rest_until: date | None = None,
) -> Ret:
    """Write down what became of the spent water, and by whose leave.

    Raises
    ------
    ValidationError
        If the flax is still in it, it has gone already, nobody's leave is named, the
        moment is in the future or before the lifting, or the rest ends before it.
    """
    ret = lock(ret)
    if ret.water != Water.SPENT:
        raise ValidationError(_("There's no spent water left from this ret."))
    _refuse_future(went_at, now, "went_at")
    if ret.lifted_at and went_at < ret.lifted_at:
        raise ValidationError(
            {"went_at": _("The flax was still in it then. Enter a later time.")}
        )
    if not leave.strip():
        raise ValidationError({"leave": _("Say who allowed it, and when.")})
    gone = went_at.astimezone(ret.dam.demonstration.zone).date()
    if rest_until and rest_until < gone:
        raise ValidationError({"rest_until": _("Enter an end after the water went.")})
    values = {
        "water_went": went,
        "water_leave": leave.strip(),
        "water_went_at": went_at,
        "water_to": water_to.strip(),
        "rest_until": rest_until,
    }
    return fill_in(ret, values)


@transaction.atomic
def make_clean(*, ret: Ret, clean_at: datetime, now: datetime) -> Ret:
    """Write down that the dam has clean water again: it may be filled anew.

    Raises
    ------
    ValidationError
        If nobody wrote down what became of the spent water, or the moment is in the
        future or before it went.
    """
    ret = lock(ret)
    if not ret.water_went_at or ret.clean_at:
        raise ValidationError(_("Record what became of the spent water first."))
    _refuse_future(clean_at, now, "clean_at")
    if clean_at < ret.water_went_at:
        raise ValidationError(
            {"clean_at": _("The spent water was still in it then. Enter a later time.")}
        )
    ret.clean_at = clean_at
    ret.full_clean()
    ret.save(update_fields=["clean_at"])
    return ret


def _refuse_untested(ret: Ret, test: Look | None) -> None:
    """Let no flax out without a test that says so, unless it was said why."""
    if says_so(test):
        ret.why_untested = ""
    elif not ret.why_untested:
        found = test.words if test else _("none was made")
        words = _(
            "No test says that it is ready (the last: %(found)s). Test it first, or "
            "say below why it was lifted."
        )
        raise ValidationError({"why_untested": words % {"found": found}})


def _refuse_future(moment: datetime, now: datetime, field: str) -> None:
    if moment > now:
        raise ValidationError(
            {field: _("That time is in the future. Enter an earlier one.")}
        )


def _refuse_deeper_than_dam(ret: Ret) -> None:
    if ret.water_depth_m > ret.dam.depth_m:
        raise ValidationError(
            {
                "water_depth_m": _(
                    "The dam is only %(depth)s m deep. Measure the water again, or "
                    "correct the dam's depth."
                )
                % {"depth": ret.dam.depth_m}
            }
        )


def why_not_filled(dam: Dam) -> str:
    """Say what keeps a ret from beginning in a dam, or nothing if it is clean."""
    last = Ret.objects.in_dam(dam).with_its_water().first()
    if last is None:
        return ""
    if last.water == Water.WORKING:
        return _there_already(last, dam.demonstration.zone)
    if last.water == Water.SPENT:
        return _(
            "The water in this dam has had flax in it. A ret begins in clean water: "
            "say first what became of the old water, and who allowed it."
        )
    return _(
        "The old water of this dam is dealt with, but a ret begins in clean water: "
        "say first when its water is clean."
    )


def _there_already(ret: Ret, zone: tzinfo) -> str:
    """Say what is in a dam that somebody would fill again, and since when."""
    since = ret.began_at.astimezone(zone)
    words = ngettext(
        "%(beets)d beet is in this dam, under water since %(since)s. Record its "
        "lifting first: a dam holds one ret.",
        "%(beets)d beets are in this dam, under water since %(since)s. Record their "
        "lifting first: a dam holds one ret.",
        ret.beets,
    )
    return words % {"beets": ret.beets, "since": date_format(since, "l j F, H:i")}


def _ask_about_rest(ret: Ret) -> None:
    """Ask about a filling sooner than the organiser planned."""
    until, zone = rests_until(ret.dam), ret.dam.demonstration.zone
    if until is None or ret.began_at.astimezone(zone).date() >= until:
        return
    words = _("This dam was to rest until %s. If it's right to fill it, say so.")
    raise ValidationError({"sure": words % date_format(until, "j F Y")})


def _refuse_wrong_start(ret: Ret, now: datetime) -> None:
    _refuse_future(ret.began_at, now, "began_at")
    why_not = why_not_filled(ret.dam)
    if why_not:
        raise ValidationError(why_not)
    if Ret.objects.in_dam(ret.dam).clean_after(ret.began_at).exists():
        raise ValidationError(
            {
                "began_at": _(
                    "This dam had no clean water then. Check the time, or "
                    "record the clean water first."
                )
            }
        )
