"""Pages of breaking, scutching and hackling."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to, row_or_404
from heritage.common.forms import asks_and_takes, by_local_clock, typed
from heritage.common.sheets import pdf_response
from heritage.fibre import sheets
from heritage.fibre.models import Session, Work
from heritage.fibre.selectors import may_write, require_writer
from heritage.fibre.stock.selectors import take_stock
from heritage.fibre.store.selectors import store_page
from heritage.fibre.work import forms, selectors, words
from heritage.people.request import VolunteerRequest


@opens_to(Role.LEAD)
@asks_and_takes
@by_local_clock
def break_(request: VolunteerRequest) -> HttpResponse:
    """Write down a session of breaking."""
    return _hold(request, Work.BREAKING)


@opens_to(Role.LEAD)
@asks_and_takes
@by_local_clock
def scutch(request: VolunteerRequest) -> HttpResponse:
    """Write down a session of scutching."""
    return _hold(request, Work.SCUTCHING)


@opens_to(Role.LEAD)
@asks_and_takes
@by_local_clock
def hackle(request: VolunteerRequest) -> HttpResponse:
    """Write down a session of hackling."""
    return _hold(request, Work.HACKLING)


def _hold(request: VolunteerRequest, work: Work) -> HttpResponse:
    require_writer(request.user, request.standing)
    here, now = request.standing.demonstration, clock.now()
    stock = take_stock(here)
    page = selectors.work_page(stock, work)
    form = forms.SessionForm(typed(request), page=page, initial={"ended_at": now})
    if form.submit(demonstration=here, by=request.user, now=now):
        messages.success(request, _("Session saved."))
        return redirect(form.saved)
    form.ask_only_if_asked()
    context = {"page": page, "form": form, "cautions": words.CAUTIONS}
    context |= {"dust": words.DUST_FACTS, "steps": words.STEPS[work]}
    if page.store:
        context["danger"] = store_page(stock, now).danger
    return render(request, "fibre/session_form.html", context)


@opens_to(Role.VOLUNTEER)
@require_safe
@by_local_clock
def session(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show one session: what went in, what came out, and what was published."""
    rows = Session.objects.visible_to(request.user).for_page()
    line = selectors.session_line(row_or_404(rows, request, pk))
    context = {
        "line": line,
        "may_write": may_write(request.user, request.standing),
        "cautions": words.CAUTIONS,
    }
    return render(request, "fibre/session.html", context)


@opens_to(Role.VOLUNTEER)
@require_safe
@by_local_clock
def session_sheet(request: VolunteerRequest) -> HttpResponse:
    """Print a sheet to write sessions on in the shed."""
    pdf = sheets.session_sheet(
        request.standing.demonstration,
        printed_at=clock.now(),
        large_print=request.GET.get("large") == "1",
    )
    return pdf_response(pdf, "fibre-session")
