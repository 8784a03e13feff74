"""Pages of a ret: how it stands, its readings and tests, its lifting."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.doors import asks_and_takes, made, typed
from heritage.common.sheets import pdf_response
from heritage.dam import drawings, forms, selectors, services, sheets
from heritage.dam.views.doors import by_its_clock, reading_at, ret_at, svg
from heritage.people.request import Request, VolunteerRequest

READINGS_A_PAGE = 48


@opens_to(Role.VOLUNTEER)
@require_safe
@by_its_clock
def ret(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show how a ret stands, and when to test it."""
    now, found = clock.now(), ret_at(request, pk)
    page = selectors.ret_page(found, now)
    course = drawings.course(page)
    newest_first = Paginator(page.readings[::-1], READINGS_A_PAGE)
    context = {
        "page": page,
        "state": page.state,
        "drawing": course and svg(course, "course"),
        "readings": newest_first.get_page(request.GET.get("page")),
        "treading": selectors.treading_on_ret(found, now),
        "cautions": selectors.cautions(),
        "may_tick": selectors.may_tick(request.user, request.standing.demonstration),
    }
    return render(request, "dam/ret_detail.html", context)


@opens_to(Role.ORGANISER)
@asks_and_takes
@by_its_clock
def lift(request: Request, pk: int) -> HttpResponse:
    """Record the lifting."""
    now, found = clock.now(), ret_at(request, pk)
    form = forms.LiftForm(typed(request), initial={"lifted_at": now})
    lifted = made(
        request, form, lambda: services.lift(ret=found, now=now, **form.cleaned_data)
    )
    if lifted:
        messages.success(
            request,
            _(
                "The lifting is in the book. Do not release the water; ask the "
                "regulator first."
            ),
        )
        return redirect("dam:ret", request.standing.demonstration.slug, found.pk)
    context = {"form": form, "ret": found, "cautions": selectors.cautions()}
    return render(request, "dam/ret_lift.html", context)


@opens_to(Role.VOLUNTEER)
@asks_and_takes
@by_its_clock
def reading_add(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Write down one reading of the water."""
    now, found = clock.now(), ret_at(request, pk)
    form = forms.ReadingForm(typed(request), initial={"at": now})
    kept = made(
        request,
        form,
        lambda: services.add_reading(
            ret=found, user=request.user, now=now, **form.cleaned_data
        ),
    )
    if kept:
        messages.success(request, _("%s °C is in the book.") % kept.temp_c)
        return redirect("dam:ret", request.standing.demonstration.slug, found.pk)
    form.ask_only_if_asked()
    return render(request, "dam/reading_form.html", {"form": form, "ret": found})


@opens_to(Role.VOLUNTEER)
@asks_and_takes
@by_its_clock
def reading_correct(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Correct a reading: the wrong one is struck and kept."""
    now, found = clock.now(), reading_at(request, pk)
    form = forms.ReadingForm(
        typed(request), initial={"at": found.at, "temp_c": found.temp_c}
    )
    kept = made(
        request,
        form,
        lambda: services.correct_reading(
            reading=found, user=request.user, now=now, **form.cleaned_data
        ),
    )
    if kept:
        messages.success(
            request,
            _("%(new)s °C now stands for %(old)s °C.")
            % {"new": kept.temp_c, "old": found.temp_c},
        )
        return redirect("dam:ret", request.standing.demonstration.slug, found.ret_id)
    form.ask_only_if_asked()
    context = {
        "form": form,
        "ret": found.ret,
        "reading": found,
        "may": selectors.may_correct(found, request.user),
    }
    return render(request, "dam/reading_form.html", context)


@opens_to(Role.VOLUNTEER)
@asks_and_takes
@by_its_clock
def check_add(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Write down what a readiness test found."""
    now, found = clock.now(), ret_at(request, pk)
    form = forms.CheckForm(typed(request), initial={"at": now})
    kept = made(
        request,
        form,
        lambda: services.add_check(
            ret=found, user=request.user, now=now, **form.cleaned_data
        ),
    )
    if kept:
        messages.success(request, _("The test is in the book."))
        return redirect("dam:ret", request.standing.demonstration.slug, found.pk)
    context = {"form": form, "ret": found, "steps": selectors.test_steps()}
    return render(request, "dam/check_form.html", context)


@opens_to(Role.VOLUNTEER)
@require_safe
@by_its_clock
def log_sheet(request: Request, pk: int) -> HttpResponse:
    """Print the dam's log to fill in by hand."""
    now = clock.now()
    pdf = sheets.log_sheet(
        selectors.ret_page(ret_at(request, pk), now),
        printed_at=now,
        large_print=request.GET.get("large") == "1",
    )
    return pdf_response(pdf, "dam-log")
