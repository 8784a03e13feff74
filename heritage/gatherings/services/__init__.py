"""Every change to a gathering that has a rule."""

from heritage.gatherings.selectors import due_at
from heritage.gatherings.services.by_name import (
    Told,
    write_child_in_by_name,
    write_in_by_name,
)
from heritage.gatherings.services.calls import make_call
from heritage.gatherings.services.forecasts import (
    EveningForecast,
    is_configured,
    read_forecast,
    why_not,
)
from heritage.gatherings.services.gate import (
    arrive,
    arrive_child,
    arrive_new,
    depart,
    put_at,
)
from heritage.gatherings.services.household import Ask, Verdict, sign_up_together
from heritage.gatherings.services.locking import hold_all
from heritage.gatherings.services.musters import (
    call_everybody_out,
    end_head_count,
    see,
    see_new,
    unsee,
)
from heritage.gatherings.services.no_shows import free_places
from heritage.gatherings.services.patterns import (
    PatternWords,
    delete_pattern,
    keep_pattern,
    start_with,
)
from heritage.gatherings.services.places import answer, give_up, move, sign_up
from heritage.gatherings.services.posting import (
    Details,
    delete_draft,
    edit,
    post,
    put_off,
)
from heritage.gatherings.services.queue import fill_queues, lapse_overdue
from heritage.gatherings.services.rearranging import (
    PlannedMove,
    Rearranged,
    rearrange,
)
from heritage.gatherings.services.reminders import remind
from heritage.gatherings.services.run_changes import edit_run
from heritage.gatherings.services.runs import end_run, post_run, take_out
from heritage.gatherings.services.stations import StationPlan
from heritage.gatherings.services.turnout import (
    Mark,
    record_list,
    record_turnout,
    write_in,
)
from heritage.gatherings.services.weighings import weigh
from heritage.gatherings.services.wishes import wish

__all__ = [
    "Ask",
    "Details",
    "EveningForecast",
    "Mark",
    "PatternWords",
    "PlannedMove",
    "Rearranged",
    "StationPlan",
    "Told",
    "Verdict",
    "answer",
    "arrive",
    "arrive_child",
    "arrive_new",
    "call_everybody_out",
    "delete_draft",
    "delete_pattern",
    "depart",
    "due_at",
    "edit",
    "edit_run",
    "end_head_count",
    "end_run",
    "fill_queues",
    "free_places",
    "give_up",
    "hold_all",
    "is_configured",
    "keep_pattern",
    "lapse_overdue",
    "make_call",
    "move",
    "post",
    "post_run",
    "put_at",
    "put_off",
    "read_forecast",
    "rearrange",
    "record_list",
    "record_turnout",
    "remind",
    "see",
    "see_new",
    "sign_up",
    "sign_up_together",
    "start_with",
    "take_out",
    "unsee",
    "weigh",
    "why_not",
    "wish",
    "write_child_in_by_name",
    "write_in",
    "write_in_by_name",
]
