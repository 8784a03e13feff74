"""The list of gatherings, one gathering's page, and posting."""

from datetime import datetime
from typing import Any
from uuid import uuid4

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to, row_or_404
from heritage.common.forms import ServiceForm, asks_and_takes, refusals_shown, typed
from heritage.common.parting import parted
from heritage.common.sheets import pdf_response
from heritage.gatherings import selectors, services, sheets
from heritage.gatherings.asked.selectors import (
    crop_warnings,
    first_aid_warnings,
    machine_warnings,
    possible_first_aiders,
)
from heritage.gatherings.drawings import light_svg, places_svg
from heritage.gatherings.forms import (
    GatheringForm,
    PatternForm,
    PutOffForm,
    gathering_initial,
    pattern_initial,
)
from heritage.gatherings.gate.forms import ChildForm, NewcomerForm
from heritage.gatherings.gate.selectors import OnNow, adults_here, alarm_of, stands
from heritage.gatherings.ground.forms import starting_stations, station_initial
from heritage.gatherings.ground.selectors import (
    letters_about,
    light_of,
    usual_briefing,
)
from heritage.gatherings.land.drawings import land_svg
from heritage.gatherings.land.selectors import land_of
from heritage.gatherings.letters.selectors import held_of
from heritage.gatherings.models import Gathering, Pattern
from heritage.gatherings.places.selectors import my_places
from heritage.growth.selectors import pulling_window
from heritage.people.models import Volunteer
from heritage.people.request import Request, VolunteerRequest
from heritage.season.models import Stage

PAST_ON_A_PAGE = 20
MOST_FOUND = 12
# The page is asked for as while it is on, so that the first can be ticked off.
ASKED = {"here", "wanted"}


def seen(request: Request, pk: int) -> Gathering:
    """Return a gathering the reader may see, or answer 404."""
    rows = Gathering.objects.visible_to(request.user)
    return row_or_404(rows.for_page(), request, pk)


def led(request: Request, pk: int) -> Gathering:
    """Return a gathering the reader leads or organises, or answer 404."""
    rows = Gathering.objects.led_by(request.user)
    return row_or_404(rows.for_page(), request, pk)


def managed(request: Request, pk: int) -> Gathering:
    """Return a gathering the reader organises, or answer 404."""
    rows = Gathering.objects.managed_by(request.user)
    return row_or_404(rows.for_page(), request, pk)


def pattern_at(request: Request, key: str) -> Pattern:
    """Return the pattern an address names, if the reader organises it, or 404."""
    rows = Pattern.objects.managed_by(request.user)
    return row_or_404(rows, request, int(key) if key.isdecimal() else 0)


@opens_to(Role.VISITOR)
@never_cache
@require_safe
def list_(request: Request) -> HttpResponse:
    """List the gatherings to come, then those that are over."""
    now = clock.now()
    rows = Gathering.objects.visible_to(request.user)
    rows = rows.of(request.standing.demonstration).for_page()
    past = Paginator(rows.over(now), PAST_ON_A_PAGE)
    page_obj = past.get_page(request.GET.get("page"))
    reader = request.standing.volunteer
    upcoming = selectors.gathering_lines(rows.upcoming(now))
    on = (line for line in upcoming if not line.gathering.is_called_off)
    context = {
        "places": my_places(reader, now) if reader else [],
        "next_up": next(on, None),
        "upcoming": upcoming,
        "past": selectors.gathering_lines(page_obj.object_list),
        "page_obj": page_obj,
    }
    return render(request, "gatherings/gathering_list.html", context)


@opens_to(Role.VISITOR)
@never_cache
@require_safe
def gathering(request: Request, pk: int) -> HttpResponse:
    """Show a gathering: its times, its light, its stations and its call."""
    is_asked = not ASKED.isdisjoint(request.GET)
    return shown(request, seen(request, pk), clock.now(), is_asked=is_asked)


def shown(
    request: Request,
    row: Gathering,
    now: datetime,
    *,
    is_asked: bool,
    **sent: ServiceForm,
) -> HttpResponse:
    """Show a gathering, with the form that is to be checked."""
    reader = request.standing.volunteer
    is_led = Gathering.objects.led_by(request.user).contains(row)
    page = selectors.gathering_page(row, now=now, volunteer=reader, is_led=is_led)
    is_led_still = is_led and now < row.ends_at
    goes = stands(row, now, reader, is_led=is_led, is_asked=is_asked)
    strips = [places_svg(view.station, view.filling) for view in page.stations]
    land = land_of(row, page.light, now)
    context = {
        "page": page,
        "alarm": alarm_of(row, now),
        "on": goes.on,
        "brought": goes.brought,
        "key": uuid4(),
        "drawing": light_svg(row, page.light),
        "land": land,
        "land_drawing": land_svg(land),
        "letters": letters_about(row, now) if is_led_still else (),
        "held": held_of(row, page.call if is_led else None, now),
        "first_aid": first_aid_warnings(row) if is_led_still else [],
        "opens": _opens(request, row, now),
        "parts": parted(
            zip(page.stations, strips, strict=True),
            lambda pair: pair[0].station.title,
            is_tall=True,
        ),
    }
    if goes.on:
        context |= _at_gate(request, goes.on, row, now) | sent
    return render(request, "gatherings/gathering.html", context)


def _at_gate(
    request: Request, on: OnNow, row: Gathering, now: datetime
) -> dict[str, Any]:
    """Return what is there to find somebody who comes, and to add them."""
    wanted = request.GET.get("wanted", "")
    return {
        "wanted": wanted,
        "found": on.gate.found(wanted)[:MOST_FOUND],
        "newcomer": NewcomerForm(),
        "child": ChildForm(adults=adults_here(row, now)),
    }


def _opens(request: Request, row: Gathering, now: datetime) -> dict[str, bool]:
    """Tell which of the pages about people's health the reader may open."""
    rows = Gathering.objects.all()
    return {
        "first_aid": rows.first_aid_by(request.user, now).contains(row),
        "emergency": rows.emergency_by(request.user, now).contains(row),
    }


@opens_to(Role.LEAD)
@never_cache
@require_safe
def sign_in_sheet(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Print the evening's sign-in and tally sheet."""
    row = led(request, pk)
    pdf = sheets.sign_in_sheet(
        selectors.sign_in_sheet(row),
        printed_on=clock.today(row.demonstration.time_zone),
        large_print="large" in request.GET,
    )
    return pdf_response(pdf, "sign-in")


Initial = tuple[dict[str, Any], list[dict[str, Any]]]


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def post(request: VolunteerRequest) -> HttpResponse:
    """Post an evening of pulling or one from a pattern, or keep it as a draft."""
    template = "gatherings/gathering_post.html"
    return _answer(request, None, beginning(request), template)


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def copy(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Post a gathering like another one, on another day."""
    source = managed(request, pk)
    stations = [station_initial(row, copied=True) for row in source.stations.in_order()]
    initial = gathering_initial(source) | {"day": None}
    template = "gatherings/gathering_post.html"
    return _answer(request, None, (initial, stations), template)


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def edit(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Change a gathering; a new time or place is told to everybody signed up."""
    row = managed(request, pk)
    stations = [station_initial(one) for one in row.stations.in_order()]
    initial = gathering_initial(row), stations
    return _answer(request, row, initial, "gatherings/gathering_edit.html")


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def put_off(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Move a gathering to another day or time; everybody signed up is told."""
    row = managed(request, pk)
    form = PutOffForm(typed(request), gathering=row)
    if form.submit(now=clock.now()):
        messages.success(request, _("“%s” has its new time.") % row)
        for words in crop_warnings(form.saved):
            messages.warning(request, words)
        return redirect(row)
    context = {"form": form, "gathering": row, "light": light_of(row)}
    return render(request, "gatherings/gathering_put_off.html", context)


@opens_to(Role.ORGANISER)
@require_POST
def delete(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Throw a draft away."""
    row = managed(request, pk)
    back = row.get_absolute_url()
    with refusals_shown(request):
        services.delete_draft(gathering=row)
        messages.success(request, _("Draft deleted."))
        back = reverse("gatherings:list", args=[row.demonstration.slug])
    return redirect(back)


def able_in_first_aid(
    request: VolunteerRequest, row: Gathering | None
) -> list[Volunteer]:
    """Return whom a form offers as first-aider."""
    where = request.standing.demonstration
    chosen = row.first_aider if row else None
    today = clock.today(where.time_zone)
    return possible_first_aiders(where, today, chosen)


def beginning(request: VolunteerRequest) -> Initial:
    """Return what a new posting begins with: a pattern, or an evening of pulling."""
    if key := request.GET.get("pattern", ""):
        pattern = pattern_at(request, key)
        rows = [
            station_initial(row, copied=True) for row in pattern.stations.in_order()
        ]
        return pattern_initial(pattern), rows
    briefing = usual_briefing(request.standing.demonstration)
    initial = {"stage": Stage.PULLING, "title": _("Pulling evening")}
    return initial, starting_stations(briefing)


def _answer(
    request: VolunteerRequest, row: Gathering | None, initial: Initial, template: str
) -> HttpResponse:
    fields, stations = initial
    form = GatheringForm(
        typed(request),
        initial=fields,
        stations=stations,
        demonstration=request.standing.demonstration,
        gathering=row,
        first_aiders=able_in_first_aid(request, row),
    )
    if form.submit(now=clock.now()):
        messages.success(request, _kept_words(form.saved))
        for words in _warnings(form.saved):
            messages.warning(request, words)
        return redirect(form.saved)
    window = pulling_window(request.standing.demonstration)
    context = {"form": form, "rows": form.rows, "gathering": row, "window": window}
    return render(request, template, context)


def _warnings(row: Gathering) -> list[str]:
    """Say what is lacking still; an evening that is over lacks nothing any more."""
    if row.entered_at is not None:
        return []
    stations = row.stations.in_order()
    lacks = first_aid_warnings(row)
    machines = machine_warnings(row, stations, clock.now())
    return [*lacks, *machines, *crop_warnings(row)]


def _kept_words(row: Gathering) -> str:
    if row.is_draft:
        return _("“%s” is kept as a draft. Only organisers see it.") % row
    if row.entered_at is not None:
        return _("“%s” is entered. Next, say who came.") % row
    return _("“%s” is posted.") % row


@opens_to(Role.ORGANISER)
@never_cache
@require_safe
def patterns(request: VolunteerRequest) -> HttpResponse:
    """List the kinds of gathering, and those that may be begun with."""
    page = selectors.patterns_page(request.standing.demonstration)
    return render(request, "gatherings/pattern_list.html", {"page": page})


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def add_pattern(request: VolunteerRequest) -> HttpResponse:
    """Write a pattern: empty, like another one, or as a gathering was posted."""
    source: Any = None
    if key := request.GET.get("gathering", ""):
        source = managed(request, int(key) if key.isdecimal() else 0)
    elif key := request.GET.get("pattern", ""):
        source = pattern_at(request, key)
    initial = pattern_initial(source) if source else {}
    rows = source.stations.in_order() if source else []
    stations = [station_initial(row, copied=True) for row in rows]
    return _answer_pattern(request, None, initial, stations or [{}, {}, {}])


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def edit_pattern(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Change a pattern; what was posted from it stays as it is."""
    row = _pattern(request, pk)
    stations = [station_initial(one, copied=True) for one in row.stations.in_order()]
    return _answer_pattern(request, row, pattern_initial(row), stations)


@opens_to(Role.ORGANISER)
@require_POST
def delete_pattern(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Take a pattern off the list."""
    row = _pattern(request, pk)
    services.delete_pattern(pattern=row)
    messages.success(request, _("“%s” is removed.") % row)
    return redirect("gatherings:patterns", request.standing.demonstration.slug)


@opens_to(Role.ORGANISER)
@require_POST
def start_patterns(request: VolunteerRequest) -> HttpResponse:
    """Take the patterns ticked into the list."""
    where = request.standing.demonstration
    added = services.start_with(
        demonstration=where,
        titles=request.POST.getlist("title"),
        by=request.user,
        now=clock.now(),
    )
    words = ngettext("%d pattern is added.", "%d patterns are added.", added)
    more = _("Read the briefings its stations ask for, and publish them.")
    messages.success(request, f"{words % added} {more}" if added else words % added)
    return redirect("gatherings:patterns", where.slug)


def _pattern(request: VolunteerRequest, pk: int) -> Pattern:
    rows = Pattern.objects.managed_by(request.user).select_related("demonstration")
    return row_or_404(rows, request, pk)


def _answer_pattern(
    request: VolunteerRequest,
    row: Pattern | None,
    initial: dict[str, Any],
    stations: list[dict[str, Any]],
) -> HttpResponse:
    where = request.standing.demonstration
    form = PatternForm(
        typed(request),
        instance=row or Pattern(demonstration=where),
        initial=initial,
        stations=stations,
        demonstration=where,
    )
    if form.submit():
        messages.success(request, _("Pattern “%s” saved.") % form.saved)
        return redirect("gatherings:patterns", where.slug)
    context = {"form": form, "rows": form.rows, "pattern": row}
    return render(request, "gatherings/pattern_write.html", context)
