"""Stones written down: put on the flax of a ret, or taken off it."""

from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.common.rows import lock
from heritage.dam.models import Ret, StoneMove, StoneWay
from heritage.dam.readings.selectors import out_of_time
from heritage.machines.models import Stone
from heritage.people.models import User


@transaction.atomic
def move_stones(
    *,
    ret: Ret,
    way: str,
    stone: Stone | None,
    how_many: int,
    at: datetime,
    by: User,
    now: datetime,
) -> StoneMove:
    """Write down that stones of one size were put on the flax, or taken off it.

    Without a ``stone`` of the list they are of the dam's usual weight. More than the
    list has may be put on, since lists lag behind; the page says so.

    Raises
    ------
    ValidationError
        If the flax was not under water then, the moment has not come, fewer of them
        lie on it than are taken off, or the stone is of another demonstration.
    """
    ret = lock(ret)
    why_not = out_of_time(ret, at, now)
    if why_not:
        raise ValidationError({"at": why_not})
    if stone and stone.demonstration_id != ret.dam.demonstration_id:
        raise ValidationError({"stone": _("Choose a stone from the list.")})
    move = StoneMove(ret=ret, at=at, way=way, stone=stone, how_many=how_many)
    move.each_kg = stone.weight_kg if stone else ret.dam.stone_kg
    move.entered_by = by
    move.full_clean()
    if way == StoneWay.OFF:
        _refuse_more_than_lie(move)
    move.save()
    return move


def _refuse_more_than_lie(move: StoneMove) -> None:
    rows = StoneMove.objects.in_ret(move.ret).of_size(move.stone, move.each_kg)
    lying = rows.lying()
    if move.how_many > lying:
        words = _("By the book %(lying)d of them lie on it. First say what was put on.")
        raise ValidationError({"how_many": words % {"lying": lying}})
