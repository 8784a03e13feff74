"""Where the person asking may go: the few places of every page, and their rooms."""

from typing import Any, NamedTuple

from django.http import HttpRequest
from django.urls import reverse
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from heritage.common.access import Role
from heritage.people.models import Volunteer


class Place(NamedTuple):
    """One place at the foot of a phone: its word, its mark and where it leads."""

    mark: str
    label: Promise
    leads_to: str
    least: Role
    most: Role = Role.KEEPER


class Door(NamedTuple):
    """One link to a place or to one of its rooms."""

    label: Promise
    url: str
    is_current: bool
    mark: str = ""


# The same few for everybody; the marks stand in templates/_marks_of_places.html.
PLACES = [
    Place("visit", _("Visit"), "public:demonstration", Role.VISITOR, Role.ACCOUNT),
    Place("story", _("The story"), "public:story", Role.VISITOR, Role.ACCOUNT),
    Place("pictures", _("Pictures"), "pictures:list", Role.VISITOR, Role.ACCOUNT),
    Place("sheets", _("Sheets"), "public:shelf", Role.VISITOR, Role.ACCOUNT),
    Place("today", _("Today"), "desk:today", Role.VOLUNTEER),
    Place("gatherings", _("Gatherings"), "gatherings:list", Role.VOLUNTEER),
    Place("crop", _("Crop"), "lots:list", Role.VOLUNTEER),
    Place("people", _("People"), "people:list", Role.ORGANISER),
    Place("me", _("Me"), "people:me", Role.VOLUNTEER, Role.LEAD),
    Place("more", _("More"), "desk:more", Role.VOLUNTEER),
]
# The rooms of a place that has several, listed above its heading.
ROOMS = {
    "crop": [
        ("lots", _("Lots"), "lots:list"),
        ("growth", _("Growing"), "growth:growing"),
        ("tally", _("Tally"), "tally:board"),
        ("dam", _("Dam"), "dam:list"),
        ("fibre", _("After the dam"), "fibre:after_dam"),
        ("season", _("Season"), "desk:season"),
    ]
}
# The place that a subject's pages stand in; every other subject's stand under More.
PLACE_OF = dict.fromkeys(("lots", "growth", "tally", "dam", "fibre"), "crop")
PLACE_OF |= dict.fromkeys(("gatherings", "fieldlog"), "gatherings")
PLACE_OF |= {"people": "people", "public": "visit", "pictures": "pictures"}
# The pages that stand elsewhere than their subject: in which place, in which room.
ELSEWHERE = {
    "desk:today": ("today", ""),
    "desk:season": ("crop", "season"),
    "desk:stage": ("crop", "season"),
    "desk:harvest": ("crop", "growth"),
    "desk:scores": ("crop", "season"),
    "desk:report": ("crop", "season"),
    "people:me": ("me", ""),
    "people:edit_me": ("me", ""),
    "people:add_child": ("me", ""),
    "people:edit_child": ("me", ""),
    "people:join": ("visit", ""),
    "privacy:mine": ("me", ""),
    "public:shelf": ("sheets", ""),
    "public:pack": ("sheets", ""),
    "public:process_booklet": ("sheets", ""),
    "public:process_cards": ("sheets", ""),
    "public:story": ("story", ""),
    "public:stage": ("story", ""),
}


def places(request: HttpRequest) -> dict[str, Any]:
    """Return the places, and the rooms of this one; none outside a demonstration."""
    standing = getattr(request, "standing", None)
    if standing is None:
        return {"doors": [], "rooms": []}
    place, room = _where(request)
    shown = [one for one in PLACES if one.least <= standing.role <= one.most]
    if place not in {one.mark for one in shown}:
        # What has no place of its own stands in the last, or, for a visitor, the first.
        place = "more" if standing.role >= Role.VOLUNTEER else "visit"
    slug = standing.demonstration.slug
    return {
        "doors": [_door(one, slug, one.mark == place) for one in shown],
        "rooms": [
            Door(label, reverse(leads_to, args=[slug]), key == room)
            for key, label, leads_to in ROOMS.get(place, [])
        ],
    }


def _door(place: Place, slug: str, is_current: bool) -> Door:
    address = reverse(place.leads_to, args=[slug])
    return Door(place.label, address, is_current, place.mark)


def _where(request: HttpRequest) -> tuple[str, str]:
    """Return the place and the room that the page asked for stands in."""
    match = request.resolver_match
    if match is None:
        return "", ""
    is_about = match.view_name == "people:about"
    role = request.standing.role  # type: ignore[attr-defined]
    if is_about and role < Role.ORGANISER and _is_mine(request, match.kwargs["pk"]):
        return "me", ""
    here = PLACE_OF.get(match.namespace, "more"), match.namespace
    return ELSEWHERE.get(match.view_name, here)


def _is_mine(request: HttpRequest, pk: int) -> bool:
    """Tell whether a line is the asker's own, or that of a child of theirs."""
    standing = getattr(request, "standing", None)
    me = standing.volunteer if standing else None
    if me is None:
        return False
    household = Volunteer.objects.active().answered_for_by(me)
    return pk in household.values_list("pk", flat=True)
