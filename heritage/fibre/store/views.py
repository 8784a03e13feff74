"""Pages of the store."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.forms import asks_and_takes, by_local_clock, typed
from heritage.common.sheets import pdf_response
from heritage.fibre import sheets
from heritage.fibre.selectors import may_write, require_writer
from heritage.fibre.stock.selectors import take_stock
from heritage.fibre.store import forms, selectors, words
from heritage.people.request import VolunteerRequest


@opens_to(Role.VOLUNTEER)
@require_safe
@by_local_clock
def store(request: VolunteerRequest) -> HttpResponse:
    """Show what is in the store, how dry it is, and when to look again."""
    context = {
        "page": selectors.store_page(
            take_stock(request.standing.demonstration), clock.now()
        ),
        "may_write": may_write(request.user, request.standing),
        "words": words,
    }
    return render(request, "fibre/store.html", context)


@opens_to(Role.LEAD)
@asks_and_takes
@by_local_clock
def check_store(request: VolunteerRequest) -> HttpResponse:
    """Write down a look at the store."""
    require_writer(request.user, request.standing)
    here, now = request.standing.demonstration, clock.now()
    form = forms.StoreCheckForm(typed(request), initial={"at": now})
    if form.submit(demonstration=here, by=request.user, now=now):
        messages.success(request, _("Check saved."))
        return redirect("fibre:store", here.slug)
    context = {"form": form, "words": words}
    return render(request, "fibre/store_check.html", context)


@opens_to(Role.LEAD)
@asks_and_takes
@by_local_clock
def test_dryness(request: VolunteerRequest) -> HttpResponse:
    """Write down how dry a lot is."""
    require_writer(request.user, request.standing)
    here, now = request.standing.demonstration, clock.now()
    form = forms.DryTestForm(typed(request), demonstration=here, initial={"at": now})
    if form.submit(by=request.user, now=now):
        found = selectors.dry(form.saved)
        say = messages.warning if found.is_too_damp else messages.success
        say(request, f"{form.saved.lot}: {found.words}.")
        return redirect("fibre:store", here.slug)
    context = {"form": form, "words": words}
    return render(request, "fibre/dry_test.html", context)


@opens_to(Role.VOLUNTEER)
@require_safe
@by_local_clock
def store_sheet(request: VolunteerRequest) -> HttpResponse:
    """Print the sheet for looks at the store."""
    now = clock.now()
    pdf = sheets.store_sheet(
        request.standing.demonstration,
        printed_at=now,
        large_print=request.GET.get("large") == "1",
    )
    return pdf_response(pdf, "store-check")
