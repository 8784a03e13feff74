"""Pages of the dam's book."""

from heritage.dam.views.dams import add, dam, dam_list, edit, fill
from heritage.dam.views.loggers import readings_confirm, readings_import
from heritage.dam.views.rets import check_add, lift, log_sheet, reading_add, ret

__all__ = [
    "add",
    "check_add",
    "dam",
    "dam_list",
    "edit",
    "fill",
    "lift",
    "log_sheet",
    "reading_add",
    "readings_confirm",
    "readings_import",
    "ret",
]
