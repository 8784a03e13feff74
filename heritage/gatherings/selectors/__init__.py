"""What the gatherings' pages, sheets, mail and neighbours read."""

from heritage.gatherings.selectors.advice import READINGS, Advice, advise
from heritage.gatherings.selectors.asks import (
    Known,
    Refusal,
    age_asked,
    day_of,
    known_of,
    refusal,
)
from heritage.gatherings.selectors.briefed import BriefedPage, briefed_page
from heritage.gatherings.selectors.by_phone import Offer, Post, Posts, posts
from heritage.gatherings.selectors.emergency import (
    EmergencyPage,
    ToCall,
    emergency_page,
    first_aid_page,
)
from heritage.gatherings.selectors.entries import address, calendar_entry
from heritage.gatherings.selectors.evenings import (
    MOST_EVENINGS,
    Evening,
    RunPlan,
    end_by_light,
    evenings,
)
from heritage.gatherings.selectors.filling import Filling
from heritage.gatherings.selectors.first_aid import (
    first_aid_warnings,
    possible_first_aiders,
)
from heritage.gatherings.selectors.gate import (
    AtGate,
    GatePage,
    adults_counted,
    adults_here,
    gate_page,
)
from heritage.gatherings.selectors.gate_station import StationsFor, stations_for
from heritage.gatherings.selectors.homes import (
    homes_of,
    letters_about,
    matter_of,
    reader_of,
)
from heritage.gatherings.selectors.light import (
    Light,
    evening_of,
    light_of,
    light_of_day,
    light_warnings,
    was,
    when,
)
from heritage.gatherings.selectors.lines import (
    GatheringLine,
    gathering_lines,
    next_gatherings,
)
from heritage.gatherings.selectors.mine import Mine
from heritage.gatherings.selectors.moments import local_moment
from heritage.gatherings.selectors.musters import Counted, HeadCount, head_count
from heritage.gatherings.selectors.my_places import MyPlace, my_places
from heritage.gatherings.selectors.names import by_folded_name, folded, named
from heritage.gatherings.selectors.page import GatheringPage, gathering_page
from heritage.gatherings.selectors.patterns import (
    PatternsPage,
    Starting,
    patterns_page,
    starting_patterns,
)
from heritage.gatherings.selectors.place import PlacePage, place_page
from heritage.gatherings.selectors.reminding import (
    SETTING_OUT,
    due_at,
    homes_to_remind,
    to_remind_of,
    waits_for_round,
)
from heritage.gatherings.selectors.running import (
    is_barred_today,
    machine_warnings,
    standing_still,
)
from heritage.gatherings.selectors.runs import (
    RunLine,
    RunPage,
    evenings_to_come,
    run_page,
    runs_page,
)
from heritage.gatherings.selectors.sheet import SheetStation, SignInSheet, sign_in_sheet
from heritage.gatherings.selectors.stations import (
    Place,
    StationView,
    shown_name,
)
from heritage.gatherings.selectors.suggestion import (
    SuggestedMove,
    Suggestion,
    suggestion,
)
from heritage.gatherings.selectors.turnout import (
    TurnoutPage,
    TurnoutRow,
    as_hours,
    turnout_page,
)
from heritage.gatherings.selectors.usual import usual_briefing
from heritage.gatherings.selectors.weighings import (
    WeighingPage,
    YoungPerson,
    weighing_page,
    works_to_weigh,
    young_people_of,
)
from heritage.people.selectors import address_of

__all__ = [
    "MOST_EVENINGS",
    "READINGS",
    "SETTING_OUT",
    "Advice",
    "AtGate",
    "BriefedPage",
    "Counted",
    "EmergencyPage",
    "Evening",
    "Filling",
    "GatePage",
    "GatheringLine",
    "GatheringPage",
    "HeadCount",
    "Known",
    "Light",
    "Mine",
    "MyPlace",
    "Offer",
    "PatternsPage",
    "Place",
    "PlacePage",
    "Post",
    "Posts",
    "Refusal",
    "RunLine",
    "RunPage",
    "RunPlan",
    "SheetStation",
    "SignInSheet",
    "Starting",
    "StationView",
    "StationsFor",
    "SuggestedMove",
    "Suggestion",
    "ToCall",
    "TurnoutPage",
    "TurnoutRow",
    "WeighingPage",
    "YoungPerson",
    "address",
    "address_of",
    "adults_counted",
    "adults_here",
    "advise",
    "age_asked",
    "as_hours",
    "briefed_page",
    "by_folded_name",
    "calendar_entry",
    "day_of",
    "due_at",
    "emergency_page",
    "end_by_light",
    "evening_of",
    "evenings",
    "evenings_to_come",
    "first_aid_page",
    "first_aid_warnings",
    "folded",
    "gate_page",
    "gathering_lines",
    "gathering_page",
    "head_count",
    "homes_of",
    "homes_to_remind",
    "is_barred_today",
    "known_of",
    "letters_about",
    "light_of",
    "light_of_day",
    "light_warnings",
    "local_moment",
    "machine_warnings",
    "matter_of",
    "my_places",
    "named",
    "next_gatherings",
    "patterns_page",
    "place_page",
    "possible_first_aiders",
    "posts",
    "reader_of",
    "refusal",
    "run_page",
    "runs_page",
    "shown_name",
    "sign_in_sheet",
    "standing_still",
    "starting_patterns",
    "stations_for",
    "suggestion",
    "to_remind_of",
    "turnout_page",
    "usual_briefing",
    "waits_for_round",
    "was",
    "weighing_page",
    "when",
    "works_to_weigh",
    "young_people_of",
]
