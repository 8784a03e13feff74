"""Gatherings: their stations, places, calls, turnout and head-counts."""

from heritage.gatherings.models.calls import (
    Call,
    CallQuerySet,
    RainAhead,
)
from heritage.gatherings.models.choices import (
    AT_THE_DAM,
    Decision,
    GatheringStatus,
    SignUpStatus,
    StationKind,
    WhyOff,
)
from heritage.gatherings.models.gathering import (
    Gathering,
    GatheringQuerySet,
    Station,
    StationQuerySet,
    new_uid,
)
from heritage.gatherings.models.musters import (
    Awaited,
    AwaitedQuerySet,
    Muster,
    MusterQuerySet,
    Safe,
    SafeQuerySet,
)
from heritage.gatherings.models.patterns import (
    Pattern,
    PatternQuerySet,
    PatternStation,
    PatternStationQuerySet,
    Run,
    RunQuerySet,
)
from heritage.gatherings.models.places import (
    SignUp,
    SignUpQuerySet,
    Turnout,
    TurnoutQuerySet,
)
from heritage.gatherings.models.weighings import (
    Weighing,
    WeighingQuerySet,
)

__all__ = [
    "AT_THE_DAM",
    "Awaited",
    "AwaitedQuerySet",
    "Call",
    "CallQuerySet",
    "Decision",
    "Gathering",
    "GatheringQuerySet",
    "GatheringStatus",
    "Muster",
    "MusterQuerySet",
    "Pattern",
    "PatternQuerySet",
    "PatternStation",
    "PatternStationQuerySet",
    "RainAhead",
    "Run",
    "RunQuerySet",
    "Safe",
    "SafeQuerySet",
    "SignUp",
    "SignUpQuerySet",
    "SignUpStatus",
    "Station",
    "StationKind",
    "StationQuerySet",
    "Turnout",
    "TurnoutQuerySet",
    "Weighing",
    "WeighingQuerySet",
    "WhyOff",
    "new_uid",
]
