"""The organiser's pages: today, the season board, the settings."""

import uuid

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from heritage.briefings.selectors import briefing_lines
from heritage.common import clock
from heritage.common.access import Role, opens_to, row_or_404
from heritage.common.forms import asks_and_takes, typed
from heritage.desk import selectors as desk
from heritage.desk.more.selectors import next_address
from heritage.desk.setting_up.forms import as_typed
from heritage.desk.today import selectors
from heritage.gatherings.land.drawings import land_svg
from heritage.gatherings.models import WhyOff
from heritage.growth.selectors import stages_seen
from heritage.kits.drawing.svg import to_svg
from heritage.lots.matters.selectors import stages_followed
from heritage.machines.models import Machine
from heritage.machines.selectors import machines_today
from heritage.people.request import Request, VolunteerRequest
from heritage.season import selectors as seasons
from heritage.season.drawings import season_drawing
from heritage.season.forms import DemonstrationForm, PlotForm, StageForm, plot_initial
from heritage.season.models import Plot, Stage, StageRecord
from heritage.tally.drawings import plan_drawing
from heritage.tally.selectors import field_progress


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
def today(request: VolunteerRequest) -> HttpResponse:
    """Show the organiser's day; a volunteer's is the next gathering."""
    now = clock.now()
    if not request.standing.is_organiser:
        return redirect(next_address(request.standing, request.user, now))
    page = selectors.today(request.standing.demonstration, request.user, now)
    context = {
        "page": page,
        "land": page.land,
        "land_drawing": land_svg(page.land),
        "plan": plan_drawing(page.progress) if page.progress.has_stand else "",
        "key": uuid.uuid4(),
        "why_off": WhyOff.choices,
        "now": now,
    }
    return render(request, "desk/today.html", context)


@opens_to(Role.ORGANISER)
@asks_and_takes
def settings(request: VolunteerRequest) -> HttpResponse:
    """Change what the demonstration says of itself."""
    here = request.standing.demonstration
    form = DemonstrationForm(typed(request), instance=here)
    if "look" not in request.POST and form.submit():
        messages.success(request, _("Saved."))
        return redirect(request.path)
    page = seasons.season(here)
    light = _light_asked(form)
    if "look" in request.POST:
        form = DemonstrationForm(instance=here, initial=as_typed(form, request.POST))
    return render(
        request, "desk/settings.html", {"form": form, "page": page, "light": light}
    )


@opens_to(Role.ORGANISER)
@asks_and_takes
def plot_add(request: VolunteerRequest) -> HttpResponse:
    """Add a plot to the field."""
    here = request.standing.demonstration
    form = PlotForm(typed(request))
    if form.submit(plot=Plot(demonstration=here)):
        return redirect("desk:settings", here.slug)
    return render(request, "desk/plot_form.html", {"form": form})


@opens_to(Role.ORGANISER)
@asks_and_takes
def plot_edit(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Change a plot."""
    plot = row_or_404(Plot.objects.managed_by(request.user), request, pk)
    form = PlotForm(typed(request), initial=plot_initial(plot))
    if form.submit(plot=plot):
        return redirect("desk:settings", request.standing.demonstration.slug)
    return render(request, "desk/plot_form.html", {"form": form, "plot": plot})


@opens_to(Role.VOLUNTEER)
@require_safe
def season_board(request: Request) -> HttpResponse:
    """Show the stages against the calendar."""
    demonstration = request.standing.demonstration
    followed = stages_seen(demonstration) | stages_followed(demonstration)
    page = seasons.season(demonstration, followed)
    day = clock.today(demonstration.time_zone)
    window = desk.window_ahead(demonstration, page)
    forecasts = {Stage.PULLING: window.days} if window else {}
    drawing = SafeString()
    if page.has_dates or window:
        drawn = to_svg(season_drawing(page.stages, day, forecasts), prefix="season")
        # The kit writes every word in it as words.
        drawing = mark_safe(drawn)  # noqa: S308
    progress = field_progress(demonstration)
    context = {
        "page": page,
        "thread": seasons.thread(page),
        "drawing": drawing,
        "window": window,
        "progress": progress,
        "plan": plan_drawing(progress) if progress.has_stand else "",
    }
    return render(request, "desk/season.html", context)


@opens_to(Role.ORGANISER)
@asks_and_takes
def stage(request: VolunteerRequest, stage: str) -> HttpResponse:
    """Write down when a stage is planned and when it was done."""
    if stage not in Stage.values:
        raise Http404
    demonstration = request.standing.demonstration
    known = StageRecord.objects.of(demonstration).at_stage(stage).first()
    new = StageRecord(demonstration=demonstration, stage=stage)
    form = StageForm(typed(request), instance=known or new)
    if form.submit():
        return redirect("desk:season", demonstration.slug)
    return render(request, "desk/stage.html", {"form": form, "stage": Stage(stage)})


def _light_asked(form: DemonstrationForm) -> seasons.LightThere | None:
    """Return today's light at the place on the form, once that place can be."""
    place = form.place()
    return seasons.light_there(**place, now=clock.now()) if place else None


@opens_to(Role.VOLUNTEER)
@require_safe
def safety(request: VolunteerRequest) -> HttpResponse:
    """List the briefings, which of them the reader has heard, and today's machines."""
    standing = request.standing
    lines = briefing_lines(
        standing.demonstration, standing.volunteer, with_drafts=standing.is_organiser
    )
    now = clock.now()
    context = {
        "lines": lines,
        "to_read": sum(bool(one.version) and not one.is_heard for one in lines),
        "machines": machines_today(standing.demonstration, now),
        "may_check": Machine.objects.run_by(request.user, now)
        .of(standing.demonstration)
        .exists(),
    }
    return render(request, "desk/safety.html", context)
