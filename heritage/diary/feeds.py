"""Calendars that phones and computers read by themselves."""

import hashlib

from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404
from django.utils.cache import get_conditional_response, patch_cache_control
from django.utils.http import http_date, quote_etag
from django.views.decorators.http import require_safe

from heritage.common.access import Role, opens_to
from heritage.diary import selectors
from heritage.kits import ical
from heritage.people.models import Volunteer
from heritage.people.request import Request

FIVE_MINUTES = 300


@opens_to(Role.VISITOR)
@require_safe
def public(request: Request) -> HttpResponseBase:
    """Give the demonstration's calendar."""
    demonstration = request.standing.demonstration
    response = _answer(request, selectors.public_feed(demonstration))
    if demonstration.is_public:
        patch_cache_control(response, public=True, max_age=FIVE_MINUTES)
    else:
        patch_cache_control(response, private=True, no_cache=True)
    return response


@opens_to(Role.VISITOR)
@require_safe
def private(request: Request, key: str) -> HttpResponseBase:
    """Give one volunteer's calendar to whoever holds its unguessable address."""
    people = Volunteer.objects.of(request.standing.demonstration).active()
    volunteer = get_object_or_404(
        people.select_related("demonstration"), calendar_key=key
    )
    response = _answer(request, selectors.private_feed(volunteer))
    patch_cache_control(response, private=True, no_cache=True)
    # The address is the key: no page it leads to may learn it, nor any index.
    response["Referrer-Policy"] = "no-referrer"
    response["X-Robots-Tag"] = "noindex"
    return response


def _answer(request: Request, feed: selectors.Feed) -> HttpResponseBase:
    content = ical.calendar(
        name=feed.name, entries=feed.entries, timezone=feed.timezone
    )
    response = HttpResponse(content, content_type="text/calendar; charset=utf-8")
    etag = quote_etag(hashlib.sha256(content).hexdigest()[:32])
    changed = int(feed.changed_at.timestamp())
    response["ETag"] = etag
    response["Last-Modified"] = http_date(changed)
    found = get_conditional_response(request, etag, changed, response)
    return found or response
