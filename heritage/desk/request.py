"""The rooms that the person asking may enter, for the tabs of every page."""

from typing import Any

from django.http import HttpRequest
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from heritage.common.access import Role
from heritage.people.models import Volunteer

# What each tab says, where it leads, which room it marks, and who sees it.
ROOMS = [
    (_("Today"), "desk:today", "today", Role.ORGANISER),
    (_("About"), "public:demonstration", "about", Role.VISITOR),
    (_("Gatherings"), "gatherings:list", "gatherings", Role.VISITOR),
    (_("Tally"), "tally:board", "tally", Role.VOLUNTEER),
    (_("Crop"), "lots:list", "crop", Role.VOLUNTEER),
    (_("Dam"), "dam:list", "dam", Role.VOLUNTEER),
    (_("Season"), "desk:season", "season", Role.VOLUNTEER),
    (_("Safety"), "desk:safety", "safety", Role.VOLUNTEER),
    (_("Pictures"), "pictures:list", "pictures", Role.VISITOR),
    (_("Sheets"), "public:shelf", "sheets", Role.VISITOR),
    (_("Me"), "people:me", "me", Role.VOLUNTEER),
    (_("People"), "people:list", "people", Role.ORGANISER),
    (_("Set-up"), "desk:settings", "settings", Role.ORGANISER),
]
# The subjects whose pages stand in a room of another name.
ROOM_OF = dict.fromkeys(("briefings", "machines", "incidents", "grounds"), "safety")
ROOM_OF |= dict.fromkeys(("growth", "lots", "fibre"), "crop")
ROOM_OF["archive"] = "settings"
# The address names that do not belong to the room of their trade.
ELSEWHERE = {
    "desk:today": "today",
    "desk:safety": "safety",
    "desk:season": "season",
    "desk:harvest": "crop",
    "desk:stage": "season",
    "public:demonstration": "about",
    "public:shelf": "sheets",
    "people:me": "me",
}


def rooms(request: HttpRequest) -> dict[str, Any]:
    """Return the tabs as (words, address, is this one); none without standing."""
    standing = getattr(request, "standing", None)
    if standing is None:
        return {"rooms": []}
    here = _room(request)
    slug = standing.demonstration.slug
    return {
        "rooms": [
            (label, reverse(name, args=[slug]), room == here)
            for label, name, room, role in ROOMS
            if standing.role >= role
        ]
    }


def _room(request: HttpRequest) -> str:
    match = request.resolver_match
    if match is None:
        return ""
    if match.view_name == "people:about":
        return "me" if _is_mine(request, match.kwargs["pk"]) else "people"
    trade = ROOM_OF.get(match.namespace, match.namespace)
    return ELSEWHERE.get(match.view_name, "settings" if trade == "desk" else trade)


def _is_mine(request: HttpRequest, pk: int) -> bool:
    """Tell whether a line is the asker's own, or that of a child of theirs."""
    standing = getattr(request, "standing", None)
    me = standing.volunteer if standing else None
    if me is None:
        return False
    household = Volunteer.objects.active().answered_for_by(me)
    return pk in household.values_list("pk", flat=True)
