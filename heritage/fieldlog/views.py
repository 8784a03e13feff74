"""The field page, what it asks and what it sends."""

import json
from datetime import datetime
from typing import Any

from django.conf import settings
from django.contrib.staticfiles import finders
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import Http404, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.templatetags.static import static
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from heritage.briefings.models import BriefingVersion
from heritage.briefings.selectors import open_parts, parts_of, short_of
from heritage.common import clock
from heritage.common.access import Role, opens_to, row_or_404
from heritage.common.forms import asks_and_takes
from heritage.dam.models import StoneWay, Treader, Treading
from heritage.fieldlog import selectors, services
from heritage.fieldlog.models import CLOSES, Outcome
from heritage.fieldlog.words import phone_texts
from heritage.gatherings.gate.selectors import StationOffer
from heritage.gatherings.models import Gathering, GatheringQuerySet
from heritage.gatherings.places.selectors import shown_name
from heritage.growth.models import Flower
from heritage.lots.models import Loss, Place
from heritage.lots.selectors import LotLine
from heritage.people.models import AgeBand
from heritage.people.request import Request, VolunteerRequest

# What may come in one go; a phone sends fewer.
MOST_SLIPS = 100
NOTES_ON_A_PAGE = 8

# Where beets are carried from in the field, and where to.
CARRIED = (Place.STOOK, Place.CART, Place.GRASS, Place.STORE)
CARRIED_TO = (Place.CART, Place.STORE, Place.STOOK)


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
def field_list(request: VolunteerRequest) -> HttpResponse:
    """Show the field pages that the reader may open: where the app begins."""
    open_since = clock.now() - CLOSES
    rows = _led(request).of(request.standing.demonstration)
    gatherings = rows.upcoming(open_since)[:10]
    return render(request, "fieldlog/field_list.html", {"gatherings": gatherings})


@opens_to(Role.LEAD)
@never_cache
@require_safe
def field(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show the field page: no name is in it, for a phone keeps it."""
    context = {
        "gathering": _gathering(request, pk),
        "ages": AgeBand.of_children(),
        "flowers": Flower.choices,
        "stone_ways": StoneWay.choices,
        "sources": [(place.value, place.label) for place in CARRIED],
        "targets": [(place.value, place.label) for place in CARRIED_TO],
        "losses": Loss.choices,
        "texts": phone_texts(),
    }
    return render(request, "fieldlog/field.html", context)


@opens_to(Role.LEAD)
@never_cache
@require_safe
def state(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Tell a phone tonight's names, how things stand, and the token to send with."""
    now = clock.now()
    tonight = selectors.field_state(_gathering(request, pk), now)
    answer = _told(tonight) | {"now": now.isoformat(), "token": get_token(request)}
    me = request.standing.volunteer
    answer["reader"] = {"id": str(me.pk), "name": me.name} if me else None
    known = request.GET.get("have", "").split(",")
    answer["briefings"] = [_briefing(one, known) for one in tonight.versions]
    return JsonResponse(answer)


@opens_to(Role.LEAD)
@never_cache
@require_POST
def send(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Take slips in, oldest first, and answer each with its receipt."""
    gathering, now = _gathering(request, pk), clock.now()
    try:
        sent = json.loads(_letter(request))
        slips = sent["slips"]
        if not isinstance(slips, list) or len(slips) > MOST_SLIPS:
            raise ValueError("Not a list of slips, or too many.")
    except (ValueError, KeyError, TypeError, RecursionError):
        return JsonResponse({"why": _("What was sent cannot be read.")}, status=400)
    upload = request.FILES.get("photograph")
    if upload and (upload.size or 0) > settings.PICTURE_MAX_BYTES:
        return JsonResponse({"why": _("The photograph is too large.")}, status=413)
    with_all = {
        "sent_at": sent.get("sent_at"),
        "photograph": upload.read() if upload else None,
    }
    receipts = [_receipt(request, gathering, now, one, with_all) for one in slips]
    return JsonResponse({"receipts": receipts})


@opens_to(Role.LEAD)
@never_cache
@asks_and_takes
def stop(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Say when to stop, with no script needed; a press starts the thunder wait."""
    gathering, now = _gathering(request, pk), clock.now()
    if request.method == "POST":
        services.hear_thunder(gathering=gathering, by=request.user, at=now)
        return redirect("fieldlog:stop", gathering.demonstration.slug, gathering.pk)
    page = selectors.stop_page(gathering, now)
    return render(request, "fieldlog/stop.html", {"page": page})


@opens_to(Role.LEAD)
@never_cache
@require_safe
def book(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show what came in from the field, with the phones' clocks beside ours."""
    page = selectors.field_book(_gathering(request, pk))
    notes = Paginator(page.notes, NOTES_ON_A_PAGE).get_page(request.GET.get("page"))
    context = {"page": page, "notes": notes}
    return render(request, "fieldlog/book.html", context)


@opens_to(Role.VISITOR)
@require_safe
def worker(request: Request) -> HttpResponse:
    """Send the service worker from above the pages it keeps."""
    path = finders.find("fieldlog/worker.js")
    if not isinstance(path, str):
        raise Http404
    with open(path, "rb") as file:
        response = HttpResponse(file.read(), content_type="text/javascript")
    response["Cache-Control"] = "no-cache"
    return response


@opens_to(Role.VISITOR)
@require_safe
def manifest(request: Request) -> HttpResponse:
    """Tell a phone how to put the field page among its apps."""
    demonstration = request.standing.demonstration
    start = reverse("fieldlog:list", args=[demonstration.slug])
    words = {
        "id": start,
        "name": _("Field page: %s") % demonstration.name,
        "short_name": _("Field page"),
        "start_url": start,
        "scope": start,
        "display": "standalone",
        "background_color": "#ede7da",
        "theme_color": "#ede7da",
        "icons": [_icon(size) for size in (192, 512)],
    }
    return JsonResponse(words, content_type="application/manifest+json")


def _icon(size: int) -> dict[str, str]:
    return {
        "src": static(f"fieldlog/icon-{size}.png"),
        "sizes": f"{size}x{size}",
        "type": "image/png",
        "purpose": "any maskable",
    }


def _led(request: VolunteerRequest) -> GatheringQuerySet:
    return Gathering.objects.led_by(request.user).published()


def _gathering(request: VolunteerRequest, pk: int) -> Gathering:
    return row_or_404(_led(request).for_page(), request, pk)


def _letter(request: VolunteerRequest) -> str | bytes:
    """Return what was sent: alone, or in an envelope with a photograph."""
    if request.content_type == "multipart/form-data":
        return str(request.POST.get("letter", ""))
    return request.body


def _receipt(
    request: VolunteerRequest,
    gathering: Gathering,
    now: datetime,
    entry: Any,
    with_all: dict[str, Any],
) -> dict[str, Any]:
    """Deal with one slip, and return what the phone is answered."""
    key = entry.get("key") if isinstance(entry, dict) else None
    try:
        slip = selectors.read_slip(entry, **with_all)
        receipt = services.receive(
            gathering=gathering, slip=slip, by=request.user, now=now
        )
    except selectors.Unreadable:
        words = _("We can't read this entry. Enter it again.")
        return {"key": key, "outcome": Outcome.REFUSED, "words": words}
    except ValidationError as error:
        words = " ".join(error.messages)
        return {"key": str(slip.key), "outcome": Outcome.REFUSED, "words": words}
    return {
        "key": str(receipt.key),
        "outcome": receipt.outcome,
        "words": receipt.words,
        "received_at": receipt.received_at.isoformat(),
    }


def _told(state: selectors.FieldState) -> dict[str, Any]:
    gathering, light, muster = state.gathering, state.light, state.muster
    return {
        "starts_at": gathering.starts_at.isoformat(),
        "ends_at": gathering.ends_at.isoformat(),
        "closes_at": state.closes_at.isoformat(),
        "stop_at": _iso(light.stop),
        "stop_why": light.why,
        "sunset": _iso(light.sunset),
        "resume_at": _iso(state.resume_at),
        "muster": {"called_at": _iso(muster.called_at)} if muster else None,
        "rets": [{"id": ret.pk, "name": ret.dam.name} for ret in state.rets],
        "stones": [
            {"id": one.pk, "name": f"{one}, {one.weight_kg} kg"} for one in state.stones
        ],
        "turns": [_turn(turn, may) for turn, may in state.turns.items()],
        "lots": [_lot(line) for line in state.lots],
        "plots": [{"id": plot.pk, "name": plot.name} for plot in state.plots],
        "people": [_person(one) for one in state.people],
        "stations": [_station(one) for one in state.offers],
        "to_settle": state.to_settle,
    }


def _turn(turn: Treading, may: list[Treader]) -> dict[str, Any]:
    people = [
        {
            "id": str(one.volunteer_id),
            "name": shown_name(one.volunteer),
            "on": one.is_on and not one.watches,
            "watches": one.watches,
        }
        for one in may
    ]
    day = f"{turn.day:%a} {turn.day.day} {turn.day:%b}"
    name = f"{day}, {turn.get_half_display()}: {turn.plan.ret.dam}"
    return {"id": turn.pk, "name": name, "people": people}


def _lot(line: LotLine) -> dict[str, Any]:
    where = ", ".join(f"{here.beets} {here.place.label}" for here in line.to_carry)
    return {"id": line.lot.pk, "name": f"{line.lot}: {where}"}


def _person(one: selectors.Person) -> dict[str, Any]:
    volunteer, station = one.volunteer, one.stations.own
    return {
        "id": str(volunteer.pk),
        "walk_in": one.walk_in,
        "name": one.name,
        "arrived_at": _iso(one.arrived_at),
        "left_at": _iso(one.left_at),
        "here": one.here,
        "beets": one.beets,
        "awaited": one.awaited,
        "safe": one.safe,
        "adult": volunteer.age_band == AgeBand.ADULT,
        "guardian": str(volunteer.guardian_id or ""),
        "station": station.title if station else "",
        "station_id": str(station.pk) if station else "",
        "barred": one.stations.barred_briefed,
        "heard": [str(key) for key in one.stations.heard],
    }


def _station(one: StationOffer) -> dict[str, Any]:
    return {
        "id": str(one.station.pk),
        "title": one.station.title,
        "places": one.station.places,
        "barred": one.barred_briefed,
        "version": str(one.version.pk) if one.version else "",
    }


def _briefing(version: BriefingVersion, known: list[str]) -> dict[str, Any]:
    """Tell the words to be read aloud; of what a phone holds already only the title."""
    answer: dict[str, Any] = {"id": str(version.pk), "title": version.briefing.title}
    answer["number"] = version.number
    if str(version.pk) not in known:
        words = version.content
        parts = {"parts": parts_of(words), "open": open_parts(words)}
        said = {"words": words, "short": short_of(words)}
        answer["words"] = render_to_string("fieldlog/_briefing.html", said | parts)
    return answer


def _iso(moment: datetime | None) -> str | None:
    return moment.isoformat() if moment else None
