"""After the dam in all, and the fibre account."""

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.forms import by_local_clock
from heritage.fibre import selectors
from heritage.fibre.drawings import account_drawing, step_words
from heritage.fibre.forms import WorthForm
from heritage.kits.drawing.svg import to_svg
from heritage.people.request import VolunteerRequest


@opens_to(Role.VOLUNTEER)
@require_safe
@by_local_clock
def after_dam(request: VolunteerRequest) -> HttpResponse:
    """Show all that is after the dam, and what wants doing."""
    page = selectors.fibre_page(request.standing.demonstration, clock.now())
    writes = selectors.may_write(request.user, request.standing)
    context = {"page": page, "may_write": writes}
    return render(request, "fibre/after_dam.html", context)


@opens_to(Role.VOLUNTEER)
@require_safe
def account(request: VolunteerRequest) -> HttpResponse:
    """Show what was expected of the crop, what was weighed, and what it is worth."""
    form = WorthForm(
        request.GET or None,
        initial={"lea": selectors.LEA, "g_per_m2": selectors.G_PER_M2},
    )
    page = selectors.account_page(request.standing.demonstration, **form.chosen())
    # The kit escapes every word in it.
    drawing = mark_safe(to_svg(account_drawing(page), prefix="account"))  # noqa: S308
    rows = [(step_words(one.step), one) for one in page.steps]
    context = {"page": page, "form": form, "drawing": drawing, "rows": rows}
    return render(request, "fibre/account.html", context)
