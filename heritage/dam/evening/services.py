"""The filling evening: planned, and each load ticked as it comes to the dam.

A load is a move of its lot onto the cart, so the crop's book and the evening agree; the
filling then takes what is on the cart first (`dam.filling.services`). A question is a
refusal under ``sure``.
"""

import uuid
from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from heritage.common.rows import fill_in, lock
from heritage.dam.models import FillEvening, FillLoad
from heritage.dam.works.selectors import rests_until
from heritage.lots import services as lots
from heritage.lots.models import Lot, Place
from heritage.lots.services import Amount
from heritage.people.models import User


@transaction.atomic
def plan_evening(
    *,
    evening: FillEvening,
    values: Mapping[str, Any],
    chosen: Iterable[Lot],
    sure: bool = False,
) -> FillEvening:
    """Plan a filling, or change its plan: the lots, the carts, the hands, the water.

    Raises
    ------
    ValidationError
        If the dam has one planned already, the flax is under water, no lot is chosen
        or one is of another demonstration, nobody or a single person would work at
        the water; and under ``sure``, a question, if the dam was to rest for longer.
    """
    dam = lock(evening.dam)
    lots_in = list(chosen)
    if evening.ret_id:
        raise ValidationError(
            _("This flax is already under water, so the evening is over.")
        )
    if not lots_in:
        raise ValidationError({"lots": _("Choose at least one lot.")})
    strange = [lot for lot in lots_in if lot.demonstration_id != dam.demonstration_id]
    if strange:
        raise ValidationError(
            {"lots": _("%s belongs to another demonstration.") % strange[0]}
        )
    fill_in(evening, values)
    if not sure:
        _ask_about_rest(evening)
    evening.lots.set(lots_in)
    return evening


def _ask_about_rest(evening: FillEvening) -> None:
    until, zone = rests_until(evening.dam), evening.dam.demonstration.zone
    if until is None or evening.starts_at.astimezone(zone).date() >= until:
        return
    words = _("This dam was to rest until %s. If it's right to fill it, say so.")
    raise ValidationError({"sure": words % date_format(until, "j F Y")})


@transaction.atomic
def tick_load(
    *,
    evening: FillEvening,
    lot: Lot,
    beets: int,
    at: datetime,
    by: User,
    now: datetime,
    key: uuid.UUID | None = None,
) -> FillLoad:
    """Write down that a load came to the dam; the same key twice is the same load.

    Raises
    ------
    ValidationError
        If the flax is under water already, the lot is not one of the evening's, it has
        fewer beets in the field, or the moment has not come yet.
    """
    lock(evening.dam.demonstration)
    evening = lock(evening)
    if evening.ret_id:
        raise ValidationError(
            _("This flax is already under water, so you can't add loads.")
        )
    if not evening.lots.filter(pk=lot.pk).exists():
        words = _("%s isn't planned for this filling. Change the plan first.")
        raise ValidationError({"lot": words % lot})
    move = lots.move(
        lot=lot,
        source=Place.STOOK,
        target=Place.CART,
        amount=Amount(beets=beets),
        at=at,
        by=by,
        now=now,
        key=key,
    )
    return FillLoad.objects.get_or_create(evening=evening, move=move)[0]


@transaction.atomic
def take_back(*, load: FillLoad, by: User, now: datetime) -> None:
    """Take a load back that was ticked by mistake; both moves are kept.

    Raises
    ------
    ValidationError
        If it was taken back already, or its flax is in the dam.
    """
    lock(load.evening.dam.demonstration)
    if lock(load.evening).ret_id:
        raise ValidationError(
            _("This flax is already under water. Correct the filling instead.")
        )
    why = _("Ticked by mistake on the filling evening.")
    lots.correct(move=load.move, reason=why, by=by, now=now)


@transaction.atomic
def drop_evening(*, evening: FillEvening) -> None:
    """Give up a plan; a load that came stays where the crop's book has it.

    Raises
    ------
    ValidationError
        If loads came already: take them back first, or fill the dam.
    """
    evening = lock(evening)
    rows = FillLoad.objects.of_evening(evening)
    if evening.ret_id or rows.standing().exists():
        words = _("Loads have come already: take them back first, or fill the dam.")
        raise ValidationError(words)
    rows.delete()
    evening.delete()
