"""How long things are kept, for everybody; what is due, for the organiser."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.forms import asks_and_takes, typed
from heritage.people.request import Request, VolunteerRequest
from heritage.privacy.forms import TidyForm
from heritage.privacy.keeping import selectors


@opens_to(Role.VISITOR)
@require_safe
def keeping(request: Request) -> HttpResponse:
    """Show in plain words what is held and for how long."""
    return render(request, "privacy/keeping.html", {"rules": selectors.RULES})


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def due(request: VolunteerRequest) -> HttpResponse:
    """Show what is due to be deleted and what is held, and delete it if told so."""
    here, form = request.standing.demonstration, TidyForm(typed(request))
    if form.submit(demonstration=here, by=request.user, now=clock.now()):
        deleted = sum(tidying.rows for tidying in form.saved)
        words = ngettext("%d row is deleted.", "%d rows are deleted.", deleted)
        nothing = _("Nothing was due.")
        messages.success(request, words % deleted if deleted else nothing)
        return redirect("privacy:due", here.slug)
    report = selectors.due_report(here, clock.now())
    return render(request, "privacy/due.html", {"report": report, "form": form})
