"""Calendar feeds: asked for again and again by programs, so cheap to answer."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import conditional_page, require_safe

from heritage.common.access import Role, opens_to
from heritage.diary import selectors
from heritage.kits import ical
from heritage.people.models import Volunteer
from heritage.people.request import Request

REFRESH_HOURS = 6


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
