"""Dams, rets, water temperatures, readiness checks, and the treading rota."""

from heritage.dam.models.dams import (
    Check,
    CheckQuerySet,
    Dam,
    DamQuerySet,
    Finding,
    Reading,
    ReadingQuerySet,
    ReadingSource,
    Ret,
    RetQuerySet,
    up_to,
)
from heritage.dam.models.rota import (
    NEVER_ALONE,
    Half,
    RotaPlan,
    RotaPlanQuerySet,
    Treader,
    TreaderQuerySet,
    TreaderState,
    Treading,
    TreadingQuerySet,
)

__all__ = [
    "NEVER_ALONE",
    "Check",
    "CheckQuerySet",
    "Dam",
    "DamQuerySet",
    "Finding",
    "Half",
    "Reading",
    "ReadingQuerySet",
    "ReadingSource",
    "Ret",
    "RetQuerySet",
    "RotaPlan",
    "RotaPlanQuerySet",
    "Treader",
    "TreaderQuerySet",
    "TreaderState",
    "Treading",
    "TreadingQuerySet",
    "up_to",
]
