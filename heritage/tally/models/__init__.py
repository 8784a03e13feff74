"""The tally book: beets, other work, ground cleared, and own logs to confirm."""

from heritage.tally.models.entry import Entry, EntryQuerySet, Source, Sums, Way
from heritage.tally.models.ground import (
    PulledArea,
    PulledAreaQuerySet,
    newest_measures,
)
from heritage.tally.models.own import Answer, OwnLog, OwnLogQuerySet
from heritage.tally.models.work import Work, WorkKind, WorkQuerySet

__all__ = [
    "Answer",
    "Entry",
    "EntryQuerySet",
    "OwnLog",
    "OwnLogQuerySet",
    "PulledArea",
    "PulledAreaQuerySet",
    "Source",
    "Sums",
    "Way",
    "Work",
    "WorkKind",
    "WorkQuerySet",
    "newest_measures",
]
