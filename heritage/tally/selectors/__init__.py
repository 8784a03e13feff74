"""What the tally's pages, sheets and neighbours read."""

from heritage.tally.selectors.board import (
    Best,
    Board,
    EveningLine,
    PersonLine,
    Records,
    board,
    evenings,
    people,
)
from heritage.tally.selectors.evening import EveningBook, LogRow, evening_book
from heritage.tally.selectors.forecast import (
    DamWarning,
    EveningNeeds,
    Finish,
    ForecastPage,
    WhatIf,
    dam_warning,
    finish,
    forecast_page,
)
from heritage.tally.selectors.outlook import Plan, plans
from heritage.tally.selectors.own import household, own_logs
from heritage.tally.selectors.pay import Pay
from heritage.tally.selectors.progress import (
    FieldProgress,
    PlotProgress,
    field_progress,
)
from heritage.tally.selectors.statement import (
    PersonStatement,
    StatementLine,
    statement,
    statements,
    totals,
)

__all__ = [
    "Best",
    "Board",
    "DamWarning",
    "EveningBook",
    "EveningLine",
    "EveningNeeds",
    "FieldProgress",
    "Finish",
    "ForecastPage",
    "LogRow",
    "Pay",
    "PersonLine",
    "PersonStatement",
    "Plan",
    "PlotProgress",
    "Records",
    "StatementLine",
    "WhatIf",
    "board",
    "dam_warning",
    "evening_book",
    "evenings",
    "field_progress",
    "finish",
    "forecast_page",
    "household",
    "own_logs",
    "people",
    "plans",
    "statement",
    "statements",
    "totals",
]
