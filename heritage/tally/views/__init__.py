"""Pages of the tally."""

from heritage.tally.views.board import board, book_csv, book_xlsx
from heritage.tally.views.evening import (
    correct,
    correct_work,
    crew,
    ground,
    log,
    paper,
    work,
)
from heritage.tally.views.forecast import forecast
from heritage.tally.views.own import confirm, mine
from heritage.tally.views.statement import (
    all_thanks_sheet,
    statement,
    statement_sheet,
    statements,
    statements_sheet,
    thanks_sheet,
)

__all__ = [
    "all_thanks_sheet",
    "board",
    "book_csv",
    "book_xlsx",
    "confirm",
    "correct",
    "correct_work",
    "crew",
    "forecast",
    "ground",
    "log",
    "mine",
    "paper",
    "statement",
    "statement_sheet",
    "statements",
    "statements_sheet",
    "thanks_sheet",
    "work",
]
