"""Every write to a dam's book that has a rule."""

from heritage.dam.services.dams import Measures, add_dam, edit_dam
from heritage.dam.services.logger_file import MAX_BYTES, MAX_ROWS, Line, read_file
from heritage.dam.services.offers import answer
from heritage.dam.services.readings import (
    Imported,
    Preview,
    add_reading,
    correct_reading,
    import_readings,
    preview_readings,
)
from heritage.dam.services.rets import add_check, fill, let_water_go, lift, make_clean
from heritage.dam.services.rota_making import name_watcher, put_on, take_off, take_rota
from heritage.dam.services.rota_plans import plan_faults, plan_treading
from heritage.dam.services.treadings import (
    hold_rets,
    leave_treading,
    let_go_of_gone,
    record_treading,
)

__all__ = [
    "MAX_BYTES",
    "MAX_ROWS",
    "Imported",
    "Line",
    "Measures",
    "Preview",
    "add_check",
    "add_dam",
    "add_reading",
    "answer",
    "correct_reading",
    "edit_dam",
    "fill",
    "hold_rets",
    "import_readings",
    "leave_treading",
    "let_go_of_gone",
    "let_water_go",
    "lift",
    "make_clean",
    "name_watcher",
    "plan_faults",
    "plan_treading",
    "preview_readings",
    "put_on",
    "read_file",
    "record_treading",
    "take_off",
    "take_rota",
]
