"""Every change that people may ask for in what is held of them."""

from heritage.privacy.services.agreements import take_back
from heritage.privacy.services.complaining import (
    acknowledge,
    add_to,
    answer,
    complain,
    end,
)
from heritage.privacy.services.erasing import (
    NOBODY,
    ask_erasure,
    carry_out_erasure,
    take_back_erasure,
)
from heritage.privacy.services.merging import merge
from heritage.privacy.services.settling import settle_name
from heritage.privacy.services.tidying import tidy, tidy_class

__all__ = [
    "NOBODY",
    "acknowledge",
    "add_to",
    "answer",
    "ask_erasure",
    "carry_out_erasure",
    "complain",
    "end",
    "merge",
    "settle_name",
    "take_back",
    "take_back_erasure",
    "tidy",
    "tidy_class",
]
