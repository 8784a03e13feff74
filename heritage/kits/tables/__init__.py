"""Tables for a spreadsheet, out and in: CSV and XLSX, text kept as text."""

from heritage.kits.tables.read import (
    BYTES_MOST,
    COLUMNS_MOST,
    ROWS_MOST,
    Line,
    UnreadableError,
    Why,
    read_table,
)
from heritage.kits.tables.write import (
    Cell,
    csv_line,
    csv_table,
    plain,
    unplain,
    xlsx_book,
)

__all__ = [
    "BYTES_MOST",
    "COLUMNS_MOST",
    "ROWS_MOST",
    "Cell",
    "Line",
    "UnreadableError",
    "Why",
    "csv_line",
    "csv_table",
    "plain",
    "read_table",
    "unplain",
    "xlsx_book",
]
