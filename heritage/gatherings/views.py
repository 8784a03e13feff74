"""The list of gatherings, one gathering's page, and posting."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.doors import asks_and_takes
from heritage.common.sheets import pdf_response
from heritage.gatherings import selectors, services, sheets
from heritage.gatherings.asked import selectors as asked_selectors
from heritage.gatherings.drawings import light_svg, places_svg
from heritage.gatherings.forms import (
    BaseStationFormSet,
    GatheringForm,
    PutOffForm,
    gathering_initial,
    starting_stations,
    station_initial,
    station_rows,
    typed_rows,
)
from heritage.gatherings.gate import selectors as gate_selectors
from heritage.gatherings.ground import selectors as ground_selectors
from heritage.gatherings.ground.views import led, managed, pattern_at, put_back, seen
from heritage.gatherings.models import Gathering
from heritage.gatherings.patterns.forms import pattern_initial
from heritage.gatherings.places import selectors as places_selectors
from heritage.people.models import Volunteer
from heritage.people.request import Request, VolunteerRequest
from heritage.season.models import Stage

PAST_ON_A_PAGE = 20


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
    context = {
        "places": places_selectors.my_places(reader, now) if reader else [],
        "upcoming": selectors.gathering_lines(rows.upcoming(now)),
        "past": selectors.gathering_lines(page_obj.object_list),
        "page_obj": page_obj,
    }
    return render(request, "gatherings/gathering_list.html", context)


@opens_to(Role.VISITOR)
@never_cache
@require_safe
def gathering(request: Request, pk: int) -> HttpResponse:
    """Show a gathering: its times, its light, its stations and its call."""
    row, now = seen(request, pk), clock.now()
    is_led = Gathering.objects.led_by(request.user).filter(pk=pk).exists()
    page = selectors.gathering_page(
        row,
        now=now,
        volunteer=request.standing.volunteer,
        is_led=is_led,
    )
    strips = [places_svg(view.station, view.filling) for view in page.stations]
    context = {
        "page": page,
        "alarm": gate_selectors.alarm_of(row, now),
        "drawing": light_svg(row, page.light),
        "letters": ground_selectors.letters_about(row, now)
        if is_led and now < row.ends_at
        else (),
        "first_aid": asked_selectors.first_aid_warnings(row)
        if is_led and now < row.ends_at
        else [],
        "opens": {
            "first_aid": Gathering.objects.first_aid_by(request.user, now).contains(
                row
            ),
            "emergency": Gathering.objects.emergency_by(request.user, now).contains(
                row
            ),
        },
        "stations": list(zip(page.stations, strips, strict=True)),
    }
    return render(request, "gatherings/gathering.html", context)


@opens_to(Role.LEAD)
@never_cache
@require_safe
def sign_in_sheet(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Print the evening's sign-in and tally sheet."""
    row = led(request, pk)
    sheet = selectors.sign_in_sheet(row)
    pdf = sheets.sign_in_sheet(
        sheet,
        printed_on=clock.today(row.demonstration.time_zone),
        large_print="large" in request.GET,
    )
    return pdf_response(pdf, "sign-in")


Forms = tuple[GatheringForm, BaseStationFormSet]
Initial = tuple[dict[str, Any], list[dict[str, Any]]]


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def post(request: VolunteerRequest) -> HttpResponse:
    """Post an evening of pulling or one from a pattern, or keep it as a draft."""
    forms = _forms(request, None, beginning(request))
    return _answer(request, None, forms, "gatherings/gathering_post.html")


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def copy(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Post a gathering like another one, on another day."""
    source = managed(request, pk)
    stations = [station_initial(row, copied=True) for row in source.stations.in_order()]
    initial = gathering_initial(source) | {"day": None}
    forms = _forms(request, None, (initial, stations))
    return _answer(request, None, forms, "gatherings/gathering_post.html")


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def edit(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Change a gathering; a new time or place is told to everybody signed up."""
    row = managed(request, pk)
    stations = [station_initial(one) for one in row.stations.in_order()]
    forms = _forms(request, row, (gathering_initial(row), stations))
    return _answer(request, row, forms, "gatherings/gathering_edit.html")


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def put_off(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Move a gathering to another day or time; everybody signed up is told."""
    row = managed(request, pk)
    form = PutOffForm(
        request.POST if request.method == "POST" else None,
        demonstration=row.demonstration,
        initial=gathering_initial(row),
    )
    if form.is_valid():
        times = {name: form.cleaned_data[name] for name in ("starts_at", "ends_at")}
        try:
            services.put_off(gathering=row, now=clock.now(), **times)
        except ValidationError as error:
            put_back(form, error)
        else:
            messages.success(request, _("“%s” has its new time.") % row)
            return redirect(row)
    context = {"form": form, "gathering": row, "light": ground_selectors.light_of(row)}
    return render(request, "gatherings/gathering_put_off.html", context)


@opens_to(Role.ORGANISER)
@require_POST
def delete(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Throw a draft away."""
    row = managed(request, pk)
    try:
        services.delete_draft(gathering=row)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return redirect(row)
    messages.success(request, _("The draft is gone."))
    return redirect("gatherings:list", row.demonstration.slug)


def able_in_first_aid(
    request: VolunteerRequest, row: Gathering | None
) -> list[Volunteer]:
    """Return whom a form offers as first-aider."""
    where = request.standing.demonstration
    chosen = row.first_aider if row else None
    today = clock.today(where.time_zone)
    return asked_selectors.possible_first_aiders(where, today, chosen)


def beginning(request: VolunteerRequest) -> Initial:
    """Return what a new posting begins with: a pattern, or an evening of pulling."""
    if key := request.GET.get("pattern", ""):
        pattern = pattern_at(request, key)
        rows = [
            station_initial(row, copied=True) for row in pattern.stations.in_order()
        ]
        return pattern_initial(pattern), rows
    briefing = ground_selectors.usual_briefing(request.standing.demonstration)
    initial = {"stage": Stage.PULLING, "title": _("Pulling evening")}
    return initial, starting_stations(briefing)


def _forms(request: VolunteerRequest, row: Gathering | None, initial: Initial) -> Forms:
    """Return the forms as they begin, as typed, or as typed with a row more."""
    first, rows = initial
    where = request.standing.demonstration
    able = able_in_first_aid(request, row)
    data = request.POST if request.method == "POST" else None
    if data is not None and "add" in data:
        first = {name: data.get(name, "") for name in GatheringForm.base_fields}
        rows, data = [*typed_rows(data), {}], None
    form = GatheringForm(
        data, initial=first, demonstration=where, gathering=row, first_aiders=able
    )
    return form, station_rows(data, initial=rows, demonstration=where, gathering=row)


def _answer(
    request: VolunteerRequest, row: Gathering | None, forms: Forms, template: str
) -> HttpResponse:
    form, rows = forms
    # Both are asked, so that the page names everything there is to put right.
    if all([form.is_valid(), rows.is_valid()]):
        try:
            kept = _keep(request, row, forms)
        except ValidationError as error:
            put_back(form, error)
        else:
            messages.success(request, _kept_words(kept))
            for words in _warnings(kept):
                messages.warning(request, words)
            return redirect(kept)
    rows.mark_needed()
    context = {"form": form, "rows": rows, "gathering": row}
    return render(request, template, context)


def _keep(request: VolunteerRequest, row: Gathering | None, forms: Forms) -> Gathering:
    form, rows = forms
    as_draft = "draft" in request.POST
    if row is None:
        return services.post(
            demonstration=request.standing.demonstration,
            details=form.details(),
            stations=rows.plans(),
            now=clock.now(),
            as_draft=as_draft,
            afterwards=form.cleaned_data["afterwards"],
        )
    return services.edit(
        gathering=row,
        details=form.details(),
        stations=rows.plans(),
        now=clock.now(),
        publish=not as_draft,
        same_place=form.cleaned_data.get("same_place", False),
        afterwards=form.cleaned_data.get("afterwards", False),
    )


def _warnings(row: Gathering) -> list[str]:
    """Say what is lacking still; an evening that is over lacks nothing any more."""
    if row.entered_at is not None:
        return []
    stations = row.stations.in_order()
    lacks = asked_selectors.first_aid_warnings(row)
    return [*lacks, *asked_selectors.machine_warnings(row, stations, clock.now())]


def _kept_words(row: Gathering) -> str:
    if row.is_draft:
        return _("“%s” is kept as a draft. Only organisers see it.") % row
    if row.entered_at is not None:
        return _("“%s” is entered. Next, say who came.") % row
    return _("“%s” is posted.") % row
