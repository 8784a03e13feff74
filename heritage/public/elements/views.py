"""One page that shows every element, for those who keep the site."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from heritage.common.access import Role, opens_to
from heritage.people.request import Request
from heritage.public.drawings import strip_svg
from heritage.public.elements.selectors import elements
from heritage.tally.drawings import plan_drawing


@opens_to(Role.KEEPER)
@require_safe
def show(request: Request) -> HttpResponse:
    """Show every colour, mark and part of a page; the foot changes the light."""
    page = elements()
    context = {
        "page": page,
        "plan": plan_drawing(page.progress),
        "strip": strip_svg(page.progress),
    }
    return render(request, "public/elements.html", context)
