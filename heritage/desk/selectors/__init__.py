"""What the organiser's first page reads."""

from heritage.desk.selectors.today import Today, today
from heritage.desk.selectors.todo import Todo

__all__ = ["Today", "Todo", "today"]
