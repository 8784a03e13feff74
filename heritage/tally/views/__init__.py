"""Pages of the tally."""

from heritage.tally.views.book import (
    board,
    correct,
    log,
    statement,
    statement_sheet,
)
from heritage.tally.views.forecast import forecast

__all__ = ["board", "correct", "forecast", "log", "statement", "statement_sheet"]
