"""Every write of the safety room that has a rule."""

from heritage.safety.services.acknowledging import (
    LEADS_TICK_FOR,
    acknowledge,
    acknowledge_afterwards,
    acknowledge_all,
)
from heritage.safety.services.briefings import (
    BriefingWords,
    compose_briefing,
    publish,
    revise_briefing,
)
from heritage.safety.services.children import (
    delete_due_children,
    end_child_log,
    note_of_child,
    note_police_called,
    open_child_log,
    press_child_step,
)
from heritage.safety.services.emergency import (
    keep_emergency_plan,
    keep_first_aid_point,
    take_away_first_aid_point,
)
from heritage.safety.services.ground import keep_crowd_plan, keep_exit, take_away_exit
from heritage.safety.services.hazards import (
    Assessment,
    add_hazard,
    delete_hazard,
    edit_hazard,
    look_again,
)
from heritage.safety.services.incident_parts import (
    add_photograph,
    keep_witness,
    photographs_of,
    take_away_photograph,
    take_away_witness,
)
from heritage.safety.services.incidents import (
    change_incident,
    decide_reporting,
    delete_due_incidents,
    finish_incident,
    hold_incident,
    report_incident,
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
    compose_starting_briefing,
    load_starting_briefings,
    load_starting_library,
)
from heritage.safety.services.stewards import keep_post, suggest_posts, take_away_post
from heritage.safety.services.stones import add_stone, delete_stone, edit_stone

__all__ = [
    "LEADS_TICK_FOR",
    "Assessment",
    "BriefingWords",
    "MachineWords",
    "acknowledge",
    "acknowledge_afterwards",
    "acknowledge_all",
    "add_hazard",
    "add_machine",
    "add_photograph",
    "add_stone",
    "change_incident",
    "check_machine",
    "compose_briefing",
    "compose_starting_briefing",
    "decide_reporting",
    "delete_due_children",
    "delete_due_incidents",
    "delete_hazard",
    "delete_machine",
    "delete_stone",
    "edit_hazard",
    "edit_machine",
    "edit_stone",
    "end_child_log",
    "finish_incident",
    "hold_incident",
    "keep_crowd_plan",
    "keep_emergency_plan",
    "keep_exit",
    "keep_first_aid_point",
    "keep_post",
    "keep_witness",
    "load_starting_briefings",
    "load_starting_library",
    "load_starting_machines",
    "look_again",
    "note_of_child",
    "note_police_called",
    "open_child_log",
    "photographs_of",
    "press_child_step",
    "publish",
    "report_incident",
    "revise_briefing",
    "suggest_posts",
    "take_away_exit",
    "take_away_first_aid_point",
    "take_away_photograph",
    "take_away_post",
    "take_away_witness",
]
