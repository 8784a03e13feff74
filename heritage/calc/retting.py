"""Retting in the dam and on the grass: how far it is, and when to test it.

A ret is judged by its tests. `prior`, `learn` and `ready` put what they found, and what
its dam's past rets did, into one distribution of how long this one takes.
"""

from ._band import Band
from ._dew import DEW_BAND, DewState, dew_days, dew_progress, dew_state
from ._pond import pond_temperature
from ._ret_evenings import evenings_only, without_swing
from ._ret_forecast import (
    LONGEST_ONCE_QUIET,
    RetCurve,
    RetForecast,
    curve,
    forecast,
    reached,
    time_between_tests,
)
from ._ret_learning import (
    ASKED_ABOUT,
    Factor,
    Moved,
    PastRet,
    learn,
    past_ret,
    prior,
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
from ._ret_outlook import WaterAhead, warmth_of, water_ahead
from ._ret_path import Outlook, Reading, after_lag, recent_mean
from ._ret_ready import (
    FREE_SHARE,
    LiftReason,
    Ready,
    RetCosts,
    Verdict,
    may_lift,
    next_test,
    phase_chances,
    ready,
)
from ._ret_signs import OF_A_PLACE, SIGN_MODELS, TESTS, Sign, SignKind, StemPlace
from ._ret_warnings import RetWarning

__all__ = [
    "ASKED_ABOUT",
    "DEFAULT_RET",
    "DEW_BAND",
    "FREE_SHARE",
    "LONGEST_ONCE_QUIET",
    "NO_DATE_BELOW_C",
    "OF_A_PLACE",
    "SIGN_MODELS",
    "TESTS",
    "TOO_HOT_C",
    "TRUSTED_FROM_C",
    "Band",
    "DewState",
    "Factor",
    "KnownBy",
    "LiftReason",
    "Moved",
    "Outlook",
    "PastRet",
    "Reading",
    "Ready",
    "RetCosts",
    "RetCurve",
    "RetForecast",
    "RetModel",
    "RetWarning",
    "Sign",
    "SignKind",
    "StemPlace",
    "Verdict",
    "WaterAhead",
    "after_lag",
    "curve",
    "days_at",
    "dew_days",
    "dew_progress",
    "dew_state",
    "evenings_only",
    "forecast",
    "learn",
    "may_lift",
    "next_test",
    "past_ret",
    "phase_chances",
    "pond_temperature",
    "prior",
    "progress",
    "rate",
    "reached",
    "ready",
    "recent_mean",
    "scatter",
    "time_between_tests",
    "warmth_of",
    "water_ahead",
    "without_swing",
]
