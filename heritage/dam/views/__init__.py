"""Pages of the dam's book."""

from heritage.dam.views.dams import add, dam, dam_list, edit, fill, water, weigh
from heritage.dam.views.loggers import readings_confirm, readings_import
from heritage.dam.views.rets import (
    check_add,
    lift,
    log_sheet,
    reading_add,
    reading_correct,
    ret,
)
from heritage.dam.views.rotas import (
    rota_plan,
    rota_preview,
    rota_take,
    turn,
    turn_put_on,
    turn_take_off,
    turn_watch,
)
from heritage.dam.views.treading import (
    answer,
    rota_sheet,
    treading,
    treading_record,
)

__all__ = [
    "add",
    "answer",
    "check_add",
    "dam",
    "dam_list",
    "edit",
    "fill",
    "lift",
    "log_sheet",
    "reading_add",
    "reading_correct",
    "readings_confirm",
    "readings_import",
    "ret",
    "rota_plan",
    "rota_preview",
    "rota_sheet",
    "rota_take",
    "treading",
    "treading_record",
    "turn",
    "turn_put_on",
    "turn_take_off",
    "turn_watch",
    "water",
    "weigh",
]
