"""The lead's pages: one person's place, and the suggestion of who works where."""

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.forms import asks_and_takes, typed
from heritage.gatherings.places.forms import MovesForm
from heritage.gatherings.rearranging import selectors
from heritage.gatherings.rearranging.services import Rearranged
from heritage.gatherings.views import led
from heritage.people.request import VolunteerRequest


@opens_to(Role.LEAD)
@never_cache
@require_safe
def place(request: VolunteerRequest, pk: int, place_pk: int) -> HttpResponse:
    """Show one person's place, with a button for all that can be done about it."""
    page = selectors.place_page(led(request, pk), place_pk, clock.now())
    if page is None:
        raise Http404
    return render(request, "gatherings/gathering_place.html", {"page": page})


@opens_to(Role.LEAD)
@never_cache
@asks_and_takes
def suggestion(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Suggest who might work where; carry out the moves that were left ticked."""
    row, now = led(request, pk), clock.now()
    form = MovesForm(typed(request))
    if form.submit(gathering=row, by=request.user, now=now):
        _say(request, form.saved)
        return redirect(row)
    page = selectors.suggestion(row, now)
    sent = request.POST.getlist("moves") if form.is_bound else None
    context = {"page": page, "form": form, "sent": sent}
    return render(request, "gatherings/gathering_suggestion.html", context)


def _say(request: VolunteerRequest, result: Rearranged) -> None:
    """Say how many were moved, and of each other why not."""
    for sentence in result.refused:
        messages.error(request, sentence)
    count = len(result.done)
    words = ngettext("%d person was moved.", "%d people were moved.", count)
    summary = (
        words % count + " " + _("We e-mail those we can.")
        if count
        else _("Nobody was moved.")
    )
    messages.success(request, summary)
