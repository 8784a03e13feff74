"""Lifting: the revised NIOSH equation, a first screening, and teams.

Weights here are guides for a planner, never safe limits; anybody may refuse a lift.
Most work in and around a dam is outside both methods, and they say so.
"""

from ._niosh import (
    DoesNotApply,
    Lift,
    LiftTask,
    Mode,
    Outside,
    recommended_weight,
)
from ._niosh_tables import Duration, Grip, Units
from ._screening import (
    Reach,
    Screening,
    ScreeningNote,
    TooMany,
    Unscreened,
    Who,
    Zone,
    screening_weight,
    team_capacity,
)

__all__ = [
    "DoesNotApply",
    "Duration",
    "Grip",
    "Lift",
    "LiftTask",
    "Mode",
    "Outside",
    "Reach",
    "Screening",
    "ScreeningNote",
    "TooMany",
    "Units",
    "Unscreened",
    "Who",
    "Zone",
    "recommended_weight",
    "screening_weight",
    "team_capacity",
]
