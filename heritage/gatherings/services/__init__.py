"""Every change to a gathering that has a rule."""

from heritage.gatherings.services.calls import make_call
from heritage.gatherings.services.places import give_up, move, sign_up
from heritage.gatherings.services.posting import (
    Details,
    StationPlan,
    delete_draft,
    edit,
    post,
)
from heritage.gatherings.services.turnout import (
    Mark,
    record_list,
    record_turnout,
    write_in,
)

__all__ = [
    "Details",
    "Mark",
    "StationPlan",
    "delete_draft",
    "edit",
    "give_up",
    "make_call",
    "move",
    "post",
    "record_list",
    "record_turnout",
    "sign_up",
    "write_in",
]
