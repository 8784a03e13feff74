"""What the dam's pages and sheets show, each in a fixed number of queries."""

from heritage.dam.selectors.cautions import Danger, cautions, test_steps
from heritage.dam.selectors.dams import (
    BeetsLeft,
    DamPage,
    DamState,
    StonePlan,
    StoneRow,
    beets_left,
    dam_page,
    dam_states,
)
from heritage.dam.selectors.fitness import Fitness, fitness, may_correct, may_tick
from heritage.dam.selectors.gaps import Gap, TreadingMatters, treading_matters
from heritage.dam.selectors.lacks import Lack, lack_of
from heritage.dam.selectors.rets import RetPage, RetState, ret_page, ret_state
from heritage.dam.selectors.rota import Proposal, ProposedTurn, work_out
from heritage.dam.selectors.treading import (
    EARLY,
    TreadingPage,
    TurnLine,
    plan_of,
    treading_on_ret,
    treading_page,
    turn_lines,
    turn_words,
)
from heritage.dam.selectors.turns import (
    RecordPage,
    TurnPage,
    own_turns,
    record_page,
    turn_page,
)

__all__ = [
    "EARLY",
    "BeetsLeft",
    "DamPage",
    "DamState",
    "Danger",
    "Fitness",
    "Gap",
    "Lack",
    "Proposal",
    "ProposedTurn",
    "RecordPage",
    "RetPage",
    "RetState",
    "StonePlan",
    "StoneRow",
    "TreadingMatters",
    "TreadingPage",
    "TurnLine",
    "TurnPage",
    "beets_left",
    "cautions",
    "dam_page",
    "dam_states",
    "fitness",
    "lack_of",
    "may_correct",
    "may_tick",
    "own_turns",
    "plan_of",
    "record_page",
    "ret_page",
    "ret_state",
    "test_steps",
    "treading_matters",
    "treading_on_ret",
    "treading_page",
    "turn_lines",
    "turn_page",
    "turn_words",
    "work_out",
]
