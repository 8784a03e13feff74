"""Forms of the dam's book and of the treading rota."""

from heritage.dam.forms.rota import (
    AnswerForm,
    HandForm,
    PlanForm,
    RecordForm,
    TakeForm,
    seal_rota,
)
from heritage.dam.forms.water import (
    CheckForm,
    ConfirmReadingsForm,
    DamForm,
    Degrees,
    FillForm,
    LiftForm,
    ReadingForm,
    ReadingsFileForm,
    seal,
)

__all__ = [
    "AnswerForm",
    "CheckForm",
    "ConfirmReadingsForm",
    "DamForm",
    "Degrees",
    "FillForm",
    "HandForm",
    "LiftForm",
    "PlanForm",
    "ReadingForm",
    "ReadingsFileForm",
    "RecordForm",
    "TakeForm",
    "seal",
    "seal_rota",
]
