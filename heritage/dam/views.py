"""Pages of the dam's book."""

from collections.abc import Callable
from functools import wraps
from typing import Any, cast

from django import forms as django_forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
    require_safe,
)

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.sheets import pdf_response
from heritage.dam import drawings, forms, selectors, services, sheets
from heritage.dam.models import Dam, Ret
from heritage.kits.drawing import Drawing, to_svg
from heritage.people.request import Request, VolunteerRequest

READINGS_A_PAGE = 48
Answer = Callable[..., HttpResponse]
asks_and_takes = require_http_methods(["GET", "HEAD", "POST"])


def by_its_clock(view: Answer) -> Answer:
    """Read and write moments by the clock on the demonstration's wall."""

    @wraps(view)
    def timed(request: Request, *args: Any, **kwargs: Any) -> HttpResponse:
        with timezone.override(request.standing.demonstration.zone):
            return view(request, *args, **kwargs)

    return timed


@opens_to(Role.VOLUNTEER)
@require_safe
@by_its_clock
def dam_list(request: Request) -> HttpResponse:
    """Show the dams and what is in them."""
    states = selectors.dam_states(request.standing.demonstration, clock.now())
    return render(request, "dam/dam_list.html", {"states": states})


@opens_to(Role.VOLUNTEER)
@require_safe
@by_its_clock
def dam(request: Request, pk: int) -> HttpResponse:
    """Show one dam: its size, its stones and what is in it."""
    page = selectors.dam_page(_dam(request, pk), clock.now())
    depth = float(page.going.ret.water_depth_m) if page.going else None
    context = {
        "page": page,
        "drawing": _svg(drawings.section(page.dam, depth), "section"),
        "cautions": selectors.cautions(),
    }
    return render(request, "dam/dam_detail.html", context)


@opens_to(Role.ORGANISER)
@asks_and_takes
def add(request: Request) -> HttpResponse:
    """Add a dam."""
    demonstration = request.standing.demonstration
    form = forms.DamForm(_typed(request))
    made = _try(
        request,
        form,
        lambda: services.add_dam(demonstration=demonstration, measures=_measures(form)),
    )
    if made:
        messages.success(request, _("The dam is in the book."))
        return redirect(made)
    return render(request, "dam/dam_form.html", {"form": form})


@opens_to(Role.ORGANISER)
@asks_and_takes
def edit(request: Request, pk: int) -> HttpResponse:
    """Put a dam's measures right."""
    found = _dam(request, pk)
    form = forms.DamForm(_typed(request), instance=_dam(request, pk))
    mended = _try(
        request,
        form,
        lambda: services.edit_dam(dam=found, measures=_measures(form)),
    )
    if mended:
        messages.success(request, _("The dam's measures are put right."))
        return redirect(mended)
    return render(request, "dam/dam_form.html", {"form": form, "dam": found})


@opens_to(Role.ORGANISER)
@asks_and_takes
@by_its_clock
def fill(request: Request, pk: int) -> HttpResponse:
    """Begin a ret."""
    now, found = clock.now(), _dam(request, pk)
    initial = {"began_at": now, "water_depth_m": found.depth_m}
    form = forms.FillForm(_typed(request), initial=initial)
    begun = _try(
        request, form, lambda: services.fill(dam=found, now=now, **form.cleaned_data)
    )
    if begun:
        messages.success(request, _("The ret has begun. Read the water twice a day."))
        return redirect("dam:ret", request.standing.demonstration.slug, begun.pk)
    context = {"form": form, "dam": found, "cautions": selectors.cautions()}
    return render(request, "dam/ret_fill.html", context)


@opens_to(Role.VOLUNTEER)
@require_safe
@by_its_clock
def ret(request: Request, pk: int) -> HttpResponse:
    """Show how a ret stands, and when to test it."""
    page = selectors.ret_page(_ret(request, pk), clock.now())
    course = drawings.course(page)
    newest_first = Paginator(page.readings[::-1], READINGS_A_PAGE)
    context = {
        "page": page,
        "state": page.state,
        "drawing": course and _svg(course, "course"),
        "readings": newest_first.get_page(request.GET.get("page")),
        "cautions": selectors.cautions(),
    }
    return render(request, "dam/ret_detail.html", context)


@opens_to(Role.ORGANISER)
@asks_and_takes
@by_its_clock
def lift(request: Request, pk: int) -> HttpResponse:
    """Record the lifting."""
    now, found = clock.now(), _ret(request, pk)
    form = forms.LiftForm(_typed(request), initial={"lifted_at": now})
    lifted = _try(
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
    now, found = clock.now(), _ret(request, pk)
    form = forms.ReadingForm(_typed(request), initial={"at": now})
    kept = _try(
        request,
        form,
        lambda: services.add_reading(
            ret=found, user=request.user, now=now, **form.cleaned_data
        ),
    )
    if kept:
        messages.success(request, _("%s °C is in the book.") % kept.temp_c)
        return redirect("dam:ret", request.standing.demonstration.slug, found.pk)
    return render(request, "dam/reading_form.html", {"form": form, "ret": found})


@opens_to(Role.VOLUNTEER)
@asks_and_takes
@by_its_clock
def check_add(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Write down what a readiness test found."""
    now, found = clock.now(), _ret(request, pk)
    form = forms.CheckForm(_typed(request), initial={"at": now})
    kept = _try(
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
@asks_and_takes
@by_its_clock
def readings_import(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Take a logger's file and show every row with its verdict; keep nothing."""
    now, found = clock.now(), _ret(request, pk)
    form = forms.ReadingsFileForm(
        _typed(request), request.FILES if request.method == "POST" else None
    )
    preview = _try(
        request,
        form,
        lambda: services.preview_readings(
            ret=found, data=form.cleaned_data["file"], now=now
        ),
    )
    if not preview:
        return render(request, "dam/readings_import.html", {"form": form, "ret": found})
    context = {"ret": found, "preview": preview, "sealed": forms.seal(found, preview)}
    return render(request, "dam/readings_preview.html", context)


@opens_to(Role.VOLUNTEER)
@require_POST
def readings_confirm(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Keep the good rows of a file that was looked at."""
    found = _ret(request, pk)
    form = forms.ConfirmReadingsForm(request.POST, ret=found)
    kept = _try(
        request,
        form,
        lambda: services.import_readings(
            ret=found,
            rows=form.cleaned_data["rows"],
            user=request.user,
            now=clock.now(),
        ),
    )
    slug = request.standing.demonstration.slug
    if not kept:
        for sentences in form.errors.values():
            messages.error(request, str(sentences[0]))
        return redirect("dam:readings_import", slug, found.pk)
    messages.success(request, _imported_words(kept))
    return redirect("dam:ret", slug, found.pk)


@opens_to(Role.VOLUNTEER)
@require_safe
@by_its_clock
def log_sheet(request: Request, pk: int) -> HttpResponse:
    """Print the dam's log to fill in by hand."""
    now = clock.now()
    pdf = sheets.log_sheet(
        selectors.ret_page(_ret(request, pk), now),
        printed_at=now,
        large_print=request.GET.get("large") == "1",
    )
    return pdf_response(pdf, "dam-log")


def _dam(request: Request, pk: int) -> Dam:
    rows = Dam.objects.visible_to(request.user).of(request.standing.demonstration)
    return get_object_or_404(rows.select_related("demonstration"), pk=pk)


def _ret(request: Request, pk: int) -> Ret:
    rows = Ret.objects.visible_to(request.user).of(request.standing.demonstration)
    return get_object_or_404(rows.select_related("dam__demonstration"), pk=pk)


def _typed(request: Request) -> QueryDict | None:
    """Return what was sent; an empty form is sent too."""
    return request.POST if request.method == "POST" else None


def _try(
    request: Request, form: django_forms.BaseForm, write: Callable[[], Any]
) -> Any:
    """Do what a good form asks; a refusal goes back onto the form."""
    if request.method != "POST" or not form.is_valid():
        return None
    try:
        return write()
    except ValidationError as error:
        form.add_error(None, error)
        return None


def _measures(form: forms.DamForm) -> services.Measures:
    return cast(services.Measures, form.cleaned_data)


def _svg(drawing: Drawing, prefix: str) -> str:
    # The kit escapes every word in it.
    return mark_safe(to_svg(drawing, prefix=prefix))  # noqa: S308


def _imported_words(kept: services.Imported) -> str:
    if not kept.added:
        return _("Nothing new: every good row was in the book already.")
    said = ngettext(
        "%d reading is in the book.", "%d readings are in the book.", kept.added
    )
    return said % kept.added
