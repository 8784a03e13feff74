"""What the tally prints, and the files it is taken away in."""

from heritage.tally.sheets.files import book_csv, book_xlsx
from heritage.tally.sheets.statement import statement_sheet, thanks_sheet

__all__ = ["book_csv", "book_xlsx", "statement_sheet", "thanks_sheet"]
