"""What machines ask for: the card of a link, news, the list of pages."""

from django.contrib.sitemaps.views import sitemap as sitemap_of
from django.core.cache import cache
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import conditional_page, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.people.request import Request
from heritage.public.telling import selectors, sheets
from heritage.public.telling.drawings import card_png

A_DAY = 60 * 60 * 24


@opens_to(Role.VISITOR)
@require_safe
@conditional_page
def card(request: Request) -> HttpResponse:
    """Give the picture that a link shows; drawn once for what it says."""
    told = selectors.card(request.standing.demonstration, request.user, clock.now())
    png = cache.get_or_set(f"card-{told.version}", lambda: card_png(told), A_DAY)
    response = HttpResponse(png, content_type="image/png")
    response["Cache-Control"] = "public, max-age=3600"
    return response


@opens_to(Role.VISITOR)
@require_safe
@conditional_page
def news(request: Request) -> HttpResponse:
    """Answer with the feed of dates and of the season."""
    shown = request.standing.demonstration
    rows = selectors.news(shown, request.user, clock.now())
    return HttpResponse(sheets.atom(shown, rows), content_type="application/atom+xml")


@opens_to(Role.VISITOR)
@require_safe
def sitemap(request: HttpRequest) -> HttpResponse:
    """List every page that a stranger may read."""
    pages = sheets.Pages(selectors.addresses(clock.now()))
    return sitemap_of(request, {"pages": pages})


@opens_to(Role.VISITOR)
@require_safe
def robots(request: HttpRequest) -> HttpResponse:
    """Tell machines which pages are theirs to read."""
    return HttpResponse(sheets.robots(), content_type="text/plain; charset=utf-8")
