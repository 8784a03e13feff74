"""The growing page, the sowing of a plot, and what was seen."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to, row_or_404
from heritage.common.forms import asks_and_takes, typed
from heritage.common.sheets import pdf_response
from heritage.growth import selectors, sheets
from heritage.growth.drawings import window_drawing
from heritage.growth.forms import ObservationForm, SowingForm, sowing_initial
from heritage.growth.models import Observation, Sowing
from heritage.kits.drawing.svg import to_svg
from heritage.people.request import VolunteerRequest
from heritage.season.models import Plot

ON_A_PAGE = 7


def require_writer(request: VolunteerRequest) -> None:
    """Answer 404 to who neither organises here nor leads an evening."""
    if not selectors.may_write(request.user, request.standing.demonstration):
        raise Http404


def drawn(growth: selectors.PlotGrowth) -> SafeString | str:
    """Return a plot's window as markup for a page; the kit escapes every word."""
    drawing = window_drawing(growth)
    if drawing is None:
        return ""
    return mark_safe(to_svg(drawing, prefix=f"window-{growth.plot.pk}"))  # noqa: S308


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
def growing(request: VolunteerRequest) -> HttpResponse:
    """Show how the crop stands and when it may be ready to pull."""
    here = request.standing.demonstration
    page = selectors.growing_page(here, clock.now())
    context = {
        "page": page,
        "plots": [(one, drawn(one)) for one in page.plots],
        "may_write": selectors.may_write(request.user, here),
    }
    return render(request, "growth/growing.html", context)


@opens_to(Role.LEAD)
@never_cache
@asks_and_takes
def sow(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Write down how a plot was sown, beside what print advises."""
    require_writer(request)
    rows = Plot.objects.visible_to(request.user)
    rows = rows.select_related("demonstration", "how_sown")
    plot = row_or_404(rows, request, pk)
    sowing = selectors.sowing_of(plot)
    form = SowingForm(
        typed(request),
        instance=sowing or Sowing(plot=plot),
        initial=sowing_initial(plot, sowing),
    )
    if form.submit():
        messages.success(request, _("Sowing saved."))
        plot = rows.get(pk=plot.pk)
        for words in selectors.note_words(plot, selectors.sowing_of(plot)):
            messages.warning(request, words)
        return redirect("growth:growing", request.standing.demonstration.slug)
    page = selectors.sowing_page(plot)
    return render(request, "growth/sowing.html", {"form": form, "page": page})


@opens_to(Role.VOLUNTEER)
@never_cache
@asks_and_takes
def observe(request: VolunteerRequest) -> HttpResponse:
    """Write down what somebody saw of the crop today."""
    here = request.standing.demonstration
    plots = list(Plot.objects.of(here).in_order().select_related("demonstration"))
    if not plots:
        return render(request, "growth/observe.html", {"form": None})
    asked = request.GET.get("plot", "")
    plot = next((one for one in plots if str(one.pk) == asked), plots[0])
    initial = {"plot": plot, "seen_on": clock.today(here.time_zone)}
    return _take(request, Observation(plot=plot), initial)


@opens_to(Role.VOLUNTEER)
@never_cache
@asks_and_takes
def edit_observation(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Change one's own observation; organisers change anybody's."""
    rows = Observation.objects.changeable_by(request.user)
    row = row_or_404(rows.select_related("plot__demonstration"), request, pk)
    return _take(request, row, {})


def _take(
    request: VolunteerRequest, row: Observation, initial: dict[str, Any]
) -> HttpResponse:
    here = request.standing.demonstration
    form = ObservationForm(typed(request), instance=row, initial=initial)
    if row.pk and request.method == "POST" and "away" in request.POST:
        form.remove()
        messages.success(request, _("Observation deleted."))
        return redirect("growth:growing", here.slug)
    if form.submit(by=request.user, now=clock.now()):
        messages.success(request, _("Saved. Thank you for looking."))
        return redirect("growth:growing", here.slug)
    return render(request, "growth/observe.html", {"form": form, "row": row})


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
def observations(request: VolunteerRequest) -> HttpResponse:
    """List all that was seen, newest first."""
    here = request.standing.demonstration
    rows = Observation.objects.of(here).newest_first()
    shown = Paginator(rows, ON_A_PAGE).get_page(request.GET.get("page"))
    mine = Observation.objects.changeable_by(request.user)
    context = {
        "page_obj": shown,
        "lines": selectors.seen_lines(list(shown.object_list)),
        "changeable": set(mine.of(here).values_list("pk", flat=True)),
    }
    return render(request, "growth/observations.html", context)


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
def observations_csv(request: VolunteerRequest) -> HttpResponseBase:
    """Hand out all that was seen as CSV."""
    rows = Observation.objects.of(request.standing.demonstration).newest_first()
    response = StreamingHttpResponse(
        sheets.observations_csv(rows.iterator()), content_type="text/csv; charset=utf-8"
    )
    response["Content-Disposition"] = 'attachment; filename="observations.csv"'
    return response


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
def growing_sheet(request: VolunteerRequest) -> HttpResponse:
    """Print when to pull, and rows to write down what is seen."""
    here, now = request.standing.demonstration, clock.now()
    pdf = sheets.growing_sheet(
        selectors.growing_page(here, now),
        place=here,
        printed_on=clock.today(here.time_zone),
        large_print="large" in request.GET,
    )
    return pdf_response(pdf, "looking-at-the-crop")
