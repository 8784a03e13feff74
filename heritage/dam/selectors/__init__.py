"""What the dam's pages and sheets show, each in a fixed number of queries."""

from heritage.dam.selectors.cautions import Danger, cautions, test_steps
from heritage.dam.selectors.dams import (
    DamPage,
    DamState,
    StoneRow,
    dam_page,
    dam_states,
)
from heritage.dam.selectors.rets import RetPage, RetState, ret_page, ret_state

__all__ = [
    "DamPage",
    "DamState",
    "Danger",
    "RetPage",
    "RetState",
    "StoneRow",
    "cautions",
    "dam_page",
    "dam_states",
    "ret_page",
    "ret_state",
    "test_steps",
]
