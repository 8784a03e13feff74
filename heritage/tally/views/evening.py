"""An evening's page of the book, and the forms that write into it."""

from collections.abc import Callable
from typing import TypeVar

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.doors import asks_and_takes, carried_out, typed
from heritage.gatherings.models import Gathering
from heritage.people.request import VolunteerRequest
from heritage.tally import selectors, services
from heritage.tally.forms import (
    CorrectionForm,
    CrewForm,
    EveningForm,
    GroundForm,
    PaperForm,
    RowsForm,
    WorkCorrectionForm,
    WorkForm,
)
from heritage.tally.views.doors import led_gathering

Rows = TypeVar("Rows", bound=RowsForm)


@opens_to(Role.LEAD)
@never_cache
@asks_and_takes
def log(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Log an evening's beets."""

    def write(gathering: Gathering, form: EveningForm) -> None:
        services.log_evening(
            gathering=gathering,
            counts=form.written(),
            by=request.user,
            now=clock.now(),
            **form.said(),
        )

    return _rows_page(request, pk, EveningForm, write, "tally/log.html")


@opens_to(Role.LEAD)
@never_cache
@asks_and_takes
def paper(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Type a paper sheet in."""

    def write(gathering: Gathering, form: PaperForm) -> None:
        services.log_paper(
            gathering=gathering,
            counts=form.written(),
            check_total=form.cleaned_data["check_total"],
            by=request.user,
            now=clock.now(),
            **form.said(),
        )

    return _rows_page(request, pk, PaperForm, write, "tally/paper.html")


@opens_to(Role.LEAD)
@never_cache
@asks_and_takes
def crew(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Share what a crew pulled together."""

    def write(gathering: Gathering, form: CrewForm) -> None:
        services.log_crew(
            gathering=gathering,
            beets=form.cleaned_data["beets"],
            weights=form.weights(),
            by=request.user,
            now=clock.now(),
            **form.said(),
        )

    return _rows_page(request, pk, CrewForm, write, "tally/crew.html")


@opens_to(Role.LEAD)
@never_cache
@asks_and_takes
def correct(request: VolunteerRequest, pk: int, entry_pk: int) -> HttpResponse:
    """Put an entry right by a counter-entry."""
    gathering = led_gathering(request, pk)
    entry = get_object_or_404(gathering.entries.all().for_book(), pk=entry_pk)
    form = CorrectionForm(typed(request))

    def write() -> None:
        services.correct(
            entry=entry, by=request.user, now=clock.now(), **form.cleaned_data
        )

    if carried_out(request, form, write):
        messages.success(request, _("The book has been put right."))
        return _back(gathering)
    return render(request, "tally/correct.html", {"entry": entry, "form": form})


@opens_to(Role.LEAD)
@never_cache
@asks_and_takes
def work(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Write down other work, and the machine's minutes."""
    gathering = led_gathering(request, pk)
    book = selectors.evening_book(gathering)
    people = [row.volunteer for row in book.rows]
    form = WorkForm(typed(request), people=people)

    def write() -> None:
        services.log_work(
            gathering=gathering, by=request.user, now=clock.now(), **form.cleaned_data
        )

    if carried_out(request, form, write):
        messages.success(request, _("Written in the book."))
        return redirect(request.path)
    return render(request, "tally/work.html", {"book": book, "form": form})


@opens_to(Role.LEAD)
@never_cache
@asks_and_takes
def correct_work(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Put a line of other work right by a counter-line."""
    gathering = led_gathering(request, pk)
    lines = list(gathering.work.all().for_book())
    form = WorkCorrectionForm(typed(request), lines=lines)

    def write() -> None:
        services.correct_work(by=request.user, now=clock.now(), **form.cleaned_data)

    if carried_out(request, form, write):
        messages.success(request, _("The book has been put right."))
        return redirect("tally:work", gathering.demonstration.slug, gathering.pk)
    shown = {"gathering": gathering, "lines": lines, "form": form}
    return render(request, "tally/work_correct.html", shown)


@opens_to(Role.LEAD)
@never_cache
@asks_and_takes
def ground(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Write down how much ground was cleared."""
    gathering = led_gathering(request, pk)
    book = selectors.evening_book(gathering)
    form = GroundForm(
        typed(request), plots=book.plots, initial={"plot": gathering.plot_id}
    )

    def write() -> None:
        services.measure_ground(
            gathering=gathering,
            plot=form.cleaned_data["plot"],
            area_m2=form.area_m2(),
            by=request.user,
            now=clock.now(),
        )

    if carried_out(request, form, write):
        messages.success(request, _("Written in the book."))
        return redirect(request.path)
    return render(request, "tally/ground.html", {"book": book, "form": form})


def _rows_page(
    request: VolunteerRequest,
    pk: int,
    form_class: type[Rows],
    write: Callable[[Gathering, Rows], None],
    template: str,
) -> HttpResponse:
    gathering = led_gathering(request, pk)
    book = selectors.evening_book(gathering)
    form = form_class(
        typed(request),
        rows=book.rows,
        plots=book.plots,
        initial={"plot": gathering.plot_id},
    )
    if carried_out(request, form, lambda: write(gathering, form)):
        messages.success(request, _("Written in the book."))
        return _back(gathering)
    return render(request, template, {"book": book, "form": form})


def _back(gathering: Gathering) -> HttpResponse:
    return redirect("tally:log", gathering.demonstration.slug, gathering.pk)
