"""The story of the season for visitors."""

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.people.request import Request
from heritage.public.story import selectors
from heritage.season.models import Stage
from heritage.season.selectors import thread
from heritage.tally.drawings import plan_drawing


@opens_to(Role.VISITOR)
@never_cache
@require_safe
def story(request: Request) -> HttpResponse:
    """Show the season from seed to fibre, and where we are."""
    shown = request.standing.demonstration
    knots = thread(selectors.season_here(shown))
    context = {"thread": knots, "chapters": selectors.chapters(shown, knots)}
    return render(request, "public/story.html", context)


@opens_to(Role.VISITOR)
@never_cache
@require_safe
def stage(request: Request, stage: str) -> HttpResponse:
    """Show one stage: how it is done, when, by whom, and where people differ."""
    if stage not in Stage.values:
        raise Http404
    shown = request.standing.demonstration
    page = selectors.stage_page(shown, Stage(stage), request.user, clock.now())
    progress = page.progress
    context = {
        "page": page,
        "plan": plan_drawing(progress) if progress and progress.has_stand else "",
    }
    return render(request, "public/stage.html", context)
