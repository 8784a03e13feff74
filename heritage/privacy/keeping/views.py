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
from heritage.common.doors import asks_and_takes, carried_out, typed
from heritage.people.request import Request, VolunteerRequest
from heritage.privacy.forms import TidyForm
from heritage.privacy.keeping import selectors, services


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
    demonstration, form = request.standing.demonstration, TidyForm(typed(request))
    deleted: list[int] = []

    def write() -> object:
        done = services.tidy(
            demonstration=demonstration, now=clock.now(), by=request.user
        )
        deleted.append(sum(row.rows for row in done))
        return done

    if carried_out(request, form, write):
        words = ngettext("%d row is deleted.", "%d rows are deleted.", deleted[0])
        said = words % deleted[0] if deleted[0] else _("Nothing was due.")
        messages.success(request, said)
        return redirect("privacy:due", demonstration.slug)
    report = selectors.due_report(demonstration, clock.now())
    return render(request, "privacy/due.html", {"report": report, "form": form})
