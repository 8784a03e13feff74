"""Letters about gatherings: plain text, with a calendar part where one helps.

Each is called when the change is safe in the database, and goes into the letter
book under a key of its own, so that nobody is told twice. A household at one
address gets one letter. A newer letter about a gathering overtakes older ones that
still wait to be sent.
"""

from heritage.gatherings.mail.runs import Before, run_called_off, run_changed
from heritage.gatherings.mail.single import (
    back_on,
    called_off,
    changed,
    gave_up,
    going_ahead,
    lapsed,
    moved,
    moved_up,
    on_hold,
    reminder,
    signed_up,
)

__all__ = [
    "Before",
    "back_on",
    "called_off",
    "changed",
    "gave_up",
    "going_ahead",
    "lapsed",
    "moved",
    "moved_up",
    "on_hold",
    "reminder",
    "run_called_off",
    "run_changed",
    "signed_up",
]
