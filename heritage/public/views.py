"""Pages for visitors."""

from django.conf import settings
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to, row_or_404
from heritage.common.sheets import pdf_response
from heritage.gatherings.models import Gathering
from heritage.people.accounts import services as accounts
from heritage.people.request import Request, VolunteerRequest
from heritage.public import selectors, sheets
from heritage.public.drawings import strip_svg
from heritage.public.telling.sheets import card_address, events
from heritage.public.words import GUIDES, HINTS
from heritage.season.glossary.words import MEANINGS
from heritage.tally.drawings import plan_drawing


@opens_to(Role.VISITOR)
@never_cache
@require_safe
def home(request: Request) -> HttpResponse:
    """Show what the site is, and its demonstrations."""
    page = selectors.home(request.user, clock.now(), request.GET.get("page"))
    return render(request, "public/home.html", {"page": page})


@opens_to(Role.VISITOR)
@never_cache
@require_safe
def demonstration(request: Request) -> HttpResponse:
    """Show a demonstration to anybody who comes by."""
    page = selectors.front(request.standing.demonstration, request.user, clock.now())
    context = {
        "page": page,
        "strip": "" if page.cover else strip_svg(page.progress),
        "plan": plan_drawing(page.progress) if page.is_field_told else "",
        "card": (card := card_address(page)),
        "events": events(page.demonstration, page.dates, card),
    }
    return render(request, "public/demonstration.html", context)


@opens_to(Role.VISITOR)
@never_cache
@require_safe
def poster(request: Request, pk: int) -> HttpResponse:
    """Print the poster of a gathering."""
    shown = request.standing.demonstration
    rows = Gathering.objects.visible_to(request.user).for_page()
    gathering = row_or_404(rows, request, pk)
    pdf = sheets.poster(
        selectors.poster(gathering),
        address=settings.SITE_ADDRESS + gathering.get_absolute_url(),
        printed_on=clock.today(shown.time_zone),
        large_print="large" in request.GET,
        a3="a3" in request.GET,
    )
    return pdf_response(pdf, "poster")


@opens_to(Role.VISITOR)
@require_safe
def cautions(request: Request) -> HttpResponse:
    """Show the cautions that hold wherever this site is used."""
    return render(request, "public/cautions.html")


@opens_to(Role.VISITOR)
@require_safe
def help_(request: Request) -> HttpResponse:
    """Show who each guide is for."""
    return render(request, "public/help.html", {"guides": GUIDES})


@opens_to(Role.VISITOR)
@require_safe
def guide(request: Request, who: str) -> HttpResponse:
    """Show the one page that a volunteer, a lead or an organiser begins with."""
    if who not in GUIDES:
        raise Http404
    return render(request, f"public/guide_{who}.html")


@opens_to(Role.VISITOR)
@require_safe
def glossary(request: Request) -> HttpResponse:
    """Show what the trade's words mean."""
    return render(request, "public/glossary.html", {"words": MEANINGS.items()})


@opens_to(Role.ACCOUNT)
@require_POST
def put_hint_away(request: VolunteerRequest) -> HttpResponse:
    """Show a page's hint no more, and go back to the page."""
    page, back = request.POST.get("page", ""), request.POST.get("next", "")
    if page in HINTS:
        accounts.put_hint_away(user=request.user, page=page)
    if not url_has_allowed_host_and_scheme(back, allowed_hosts={request.get_host()}):
        back = reverse("public:help")
    return redirect(back)
