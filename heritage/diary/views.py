"""How to subscribe to a calendar."""

from dataclasses import dataclass

from django.conf import settings
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from heritage.common.access import Role, opens_to
from heritage.people.request import Request


@dataclass(frozen=True, slots=True)
class Address:
    """A calendar's address, to copy, and as a link that opens a calendar."""

    web: str

    @property
    def calendar(self) -> str:
        return "webcal://" + self.web.split("://", 1)[-1]


@opens_to(Role.VISITOR)
@never_cache
@require_safe
def subscribe(request: Request) -> HttpResponse:
    """Tell how to have the gatherings in one's own calendar."""
    slug = request.standing.demonstration.slug
    volunteer = request.standing.volunteer
    context = {"public": _address("diary:public", slug), "private": None}
    if volunteer:
        context["private"] = _address("diary:private", slug, volunteer.calendar_key)
    return render(request, "diary/subscribe.html", context)


def _address(name: str, *args: str) -> Address:
    return Address(settings.SITE_ADDRESS + reverse(name, args=args))
