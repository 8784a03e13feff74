"""Every write of the safety room that has a rule."""

from heritage.safety.services.acknowledging import (
    LEADS_TICK_FOR,
    acknowledge,
    acknowledge_all,
)
from heritage.safety.services.briefings import (
    BriefingWords,
    compose_briefing,
    publish,
    revise_briefing,
)
from heritage.safety.services.ground import (
    keep_crowd_plan,
    keep_emergency_plan,
    keep_exit,
    keep_first_aid_point,
    take_away_exit,
    take_away_first_aid_point,
)
from heritage.safety.services.hazards import (
    Assessment,
    add_hazard,
    delete_hazard,
    edit_hazard,
    look_again,
)
from heritage.safety.services.machines import (
    MachineWords,
    add_machine,
    check_machine,
    delete_machine,
    edit_machine,
    load_starting_machines,
)
from heritage.safety.services.starting import (
    load_starting_briefings,
    load_starting_library,
)
from heritage.safety.services.stones import add_stone, delete_stone, edit_stone

__all__ = [
    "LEADS_TICK_FOR",
    "Assessment",
    "BriefingWords",
    "MachineWords",
    "acknowledge",
    "acknowledge_all",
    "add_hazard",
    "add_machine",
    "add_stone",
    "check_machine",
    "compose_briefing",
    "delete_hazard",
    "delete_machine",
    "delete_stone",
    "edit_hazard",
    "edit_machine",
    "edit_stone",
    "keep_crowd_plan",
    "keep_emergency_plan",
    "keep_exit",
    "keep_first_aid_point",
    "load_starting_briefings",
    "load_starting_library",
    "load_starting_machines",
    "look_again",
    "publish",
    "revise_briefing",
    "take_away_exit",
    "take_away_first_aid_point",
]
