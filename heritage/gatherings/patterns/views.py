"""The organiser's list of kinds of gathering."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to, row_or_404
from heritage.common.forms import asks_and_takes, typed
from heritage.gatherings.forms import PatternForm, pattern_initial
from heritage.gatherings.ground.forms import station_initial
from heritage.gatherings.models import Pattern
from heritage.gatherings.patterns import selectors, services
from heritage.gatherings.views import managed, pattern_at
from heritage.people.request import VolunteerRequest


@opens_to(Role.ORGANISER)
@never_cache
@require_safe
def list_(request: VolunteerRequest) -> HttpResponse:
    """List the kinds of gathering, and those that may be begun with."""
    page = selectors.patterns_page(request.standing.demonstration)
    return render(request, "gatherings/pattern_list.html", {"page": page})


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def add(request: VolunteerRequest) -> HttpResponse:
    """Write a pattern: empty, like another one, or as a gathering was posted."""
    source: Any = None
    if key := request.GET.get("gathering", ""):
        source = managed(request, int(key) if key.isdecimal() else 0)
    elif key := request.GET.get("pattern", ""):
        source = pattern_at(request, key)
    initial = pattern_initial(source) if source else {}
    rows = source.stations.in_order() if source else []
    stations = [station_initial(row, copied=True) for row in rows]
    return _answer(request, None, initial, stations or [{}, {}, {}])


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def edit(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Change a pattern; what was posted from it stays as it is."""
    row = _mine(request, pk)
    stations = [station_initial(one, copied=True) for one in row.stations.in_order()]
    return _answer(request, row, pattern_initial(row), stations)


@opens_to(Role.ORGANISER)
@require_POST
def delete(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Take a pattern off the list."""
    row = _mine(request, pk)
    services.delete_pattern(pattern=row)
    messages.success(request, _("“%s” is off the list.") % row)
    return redirect("gatherings:patterns", request.standing.demonstration.slug)


@opens_to(Role.ORGANISER)
@require_POST
def start(request: VolunteerRequest) -> HttpResponse:
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


def _mine(request: VolunteerRequest, pk: int) -> Pattern:
    rows = Pattern.objects.managed_by(request.user).select_related("demonstration")
    return row_or_404(rows, request, pk)


def _answer(
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
        messages.success(request, _("The pattern “%s” is kept.") % form.saved)
        return redirect("gatherings:patterns", where.slug)
    context = {"form": form, "rows": form.rows, "pattern": row}
    return render(request, "gatherings/pattern_write.html", context)
