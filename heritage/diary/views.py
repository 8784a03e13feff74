"""Calendar feeds, asked for again and again by programs; how to subscribe to them."""

from django.conf import settings
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import conditional_page, require_safe

from heritage.common.access import Role, opens_to
from heritage.diary import selectors
from heritage.kits import ical
from heritage.people.models import Volunteer
from heritage.people.request import Request

REFRESH_HOURS = 6


@opens_to(Role.VISITOR)
@never_cache
@require_safe
def subscribe(request: Request) -> HttpResponse:
    """Show the calendars' addresses, and what to do with them."""
    slug = request.standing.demonstration.slug
    volunteer = request.standing.volunteer
    addresses = [_address("diary:public", slug)]
    if volunteer:
        addresses.append(_address("diary:private", slug, volunteer.calendar_key))
    context = {"public": addresses[0], "private": addresses[1:]}
    return render(request, "diary/subscribe.html", context)


@opens_to(Role.VISITOR)
@require_safe
@conditional_page
def public(request: Request) -> HttpResponse:
    """Answer with the demonstration's calendar."""
    return _answer(selectors.public_feed(request.standing.demonstration))


@opens_to(Role.VISITOR)
@require_safe
@conditional_page
def private(request: Request, slug: str, key: str) -> HttpResponse:
    """Answer with one volunteer's calendar: the address itself is the key."""
    people = Volunteer.objects.active().select_related("demonstration")
    volunteer = get_object_or_404(people, calendar_key=key, demonstration__slug=slug)
    response = _answer(selectors.private_feed(volunteer))
    response["Cache-Control"] = "private, max-age=0"
    response["X-Robots-Tag"] = "noindex"
    return response


def _address(name: str, *args: str) -> dict[str, str]:
    """Return an address to copy, and one that a calendar program opens by itself."""
    whole = settings.SITE_ADDRESS + reverse(name, args=args)
    return {"copy": whole, "open": "webcal:" + whole.partition(":")[2]}


def _answer(feed: selectors.Feed) -> HttpResponse:
    body = ical.calendar(
        name=feed.name,
        entries=feed.entries,
        timezone=feed.time_zone,
        refresh_hours=REFRESH_HOURS,
    )
    response = HttpResponse(body, content_type="text/calendar; charset=utf-8")
    response["Content-Disposition"] = 'inline; filename="gatherings.ics"'
    return response
