"""Every write to a dam's book that has a rule."""

from heritage.dam.services.dams import Measures, add_dam, edit_dam
from heritage.dam.services.logger_file import MAX_BYTES, MAX_ROWS, Line, read_file
from heritage.dam.services.readings import (
    Imported,
    Preview,
    add_reading,
    import_readings,
    preview_readings,
)
from heritage.dam.services.rets import add_check, fill, lift

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
    "edit_dam",
    "fill",
    "import_readings",
    "lift",
    "preview_readings",
    "read_file",
]
