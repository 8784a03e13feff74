"""Retting in the dam and on the grass: how far it is, and when to test it."""

from ._band import Band
from ._dew import DEW_BAND, DewState, dew_days, dew_progress, dew_state
from ._pond import pond_temperature
from ._ret_forecast import (
    LONGEST_ONCE_QUIET,
    RetCurve,
    RetForecast,
    curve,
    forecast,
    time_between_tests,
)
from ._ret_model import (
    DEFAULT_RET,
    NO_DATE_BELOW_C,
    TOO_HOT_C,
    TRUSTED_FROM_C,
    KnownBy,
    RetModel,
    days_at,
    progress,
    rate,
    scatter,
)
from ._ret_path import Outlook, Reading
from ._ret_warnings import RetWarning

__all__ = [
    "DEFAULT_RET",
    "DEW_BAND",
    "LONGEST_ONCE_QUIET",
    "NO_DATE_BELOW_C",
    "TOO_HOT_C",
    "TRUSTED_FROM_C",
    "Band",
    "DewState",
    "KnownBy",
    "Outlook",
    "Reading",
    "RetCurve",
    "RetForecast",
    "RetModel",
    "RetWarning",
    "curve",
    "days_at",
    "dew_days",
    "dew_progress",
    "dew_state",
    "forecast",
    "pond_temperature",
    "progress",
    "rate",
    "scatter",
    "time_between_tests",
]
