"""How to subscribe to a calendar."""

from django.conf import settings
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from heritage.common.access import Role, opens_to
from heritage.people.request import Request


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


def _address(name: str, *args: str) -> dict[str, str]:
    """Return an address to copy, and one that a calendar program opens by itself."""
    whole = settings.SITE_ADDRESS + reverse(name, args=args)
    return {"copy": whole, "open": "webcal:" + whole.partition(":")[2]}
