"""Everything that is written into the tally book."""

from heritage.tally.services.beets import (
    correct,
    log_beets,
    log_crew,
    log_evening,
    log_paper,
)
from heritage.tally.services.carrying import Carried, carry_over
from heritage.tally.services.ground import measure_ground
from heritage.tally.services.own import answer_own, log_own
from heritage.tally.services.rules import BOOK_OPENS
from heritage.tally.services.work import correct_work, log_work

__all__ = [
    "BOOK_OPENS",
    "Carried",
    "answer_own",
    "carry_over",
    "correct",
    "correct_work",
    "log_beets",
    "log_crew",
    "log_evening",
    "log_own",
    "log_paper",
    "log_work",
    "measure_ground",
]
