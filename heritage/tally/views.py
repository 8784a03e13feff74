"""Pages of the tally book."""

from collections.abc import Callable
from typing import TypeVar

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase, StreamingHttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.doors import asks_and_takes, carried_out, typed
from heritage.gatherings.models import Gathering
from heritage.people.models import Volunteer
from heritage.people.request import Request, VolunteerRequest
from heritage.tally import selectors, services, sheets
from heritage.tally.drawings import evenings_drawing
from heritage.tally.forms import (
    AnswerForm,
    CorrectionForm,
    CrewForm,
    EveningForm,
    GroundForm,
    OwnLogForm,
    PaperForm,
    RowsForm,
    WorkCorrectionForm,
    WorkForm,
)
from heritage.tally.selectors import book_lines, work_lines
from heritage.tally.statements import selectors as statements_selectors


def led_gathering(request: VolunteerRequest, pk: int) -> Gathering:
    """Return a gathering that the asker leads: 404 for any other."""
    led = Gathering.objects.led_by(request.user).of(request.standing.demonstration)
    return get_object_or_404(led.select_related("demonstration", "plot"), pk=pk)


def own_volunteer(request: VolunteerRequest, pk: int) -> Volunteer:
    """Return a person whose statement the asker may read: 404 for anybody else's."""
    rows = Volunteer.objects.visible_to(request.user).of(request.standing.demonstration)
    volunteer = request.standing.volunteer
    if not request.standing.is_organiser and volunteer:
        rows = rows.answered_for_by(volunteer)
    return get_object_or_404(rows.select_related("demonstration"), pk=pk)


XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@opens_to(Role.VISITOR)
@never_cache
@require_safe
def board(request: Request) -> HttpResponse:
    """Show what everybody has done: by name to members, without names to visitors."""
    is_member = request.role >= Role.VOLUNTEER
    page = selectors.board(request.standing.demonstration, with_people=is_member)
    shown = {
        "page": page,
        "is_member": is_member,
        "drawing": evenings_drawing(page.evenings),
    }
    return render(request, "tally/board.html", shown)


@opens_to(Role.ORGANISER)
@never_cache
@require_safe
def book_csv(request: VolunteerRequest) -> HttpResponseBase:
    """Hand out every line of the book as CSV."""
    lines = book_lines(request.standing.demonstration)
    response = StreamingHttpResponse(
        sheets.book_csv(lines), content_type="text/csv; charset=utf-8"
    )
    response["Content-Disposition"] = 'attachment; filename="tally.csv"'
    return response


@opens_to(Role.ORGANISER)
@never_cache
@require_safe
def book_xlsx(request: VolunteerRequest) -> HttpResponse:
    """Hand out the whole book as a workbook."""
    demonstration = request.standing.demonstration
    made = sheets.book_xlsx(
        book_lines(demonstration),
        work_lines(demonstration),
        statements_selectors.statements(demonstration),
    )
    response = HttpResponse(made, content_type=XLSX)
    response["Content-Disposition"] = 'attachment; filename="tally.xlsx"'
    return response


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


@opens_to(Role.VOLUNTEER)
@never_cache
@asks_and_takes
def mine(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Let a volunteer write down what they pulled, for a lead to confirm."""
    demonstration = request.standing.demonstration
    seen = Gathering.objects.visible_to(request.user).of(demonstration)
    gathering = get_object_or_404(seen.select_related("demonstration", "plot"), pk=pk)
    household: list[Volunteer] = []
    if request.standing.volunteer:
        household = selectors.household(request.standing.volunteer)
    form = OwnLogForm(typed(request), household=household)

    def write() -> None:
        services.log_own(
            gathering=gathering, by=request.user, now=clock.now(), **form.cleaned_data
        )

    if carried_out(request, form, write):
        messages.success(request, _("Kept. The lead confirms it before it counts."))
        return redirect(request.path)
    logs = selectors.own_logs(gathering, household)
    shown = {
        "gathering": gathering,
        "household": household,
        "logs": logs,
        "form": form,
    }
    return render(request, "tally/own_log.html", shown)


@opens_to(Role.LEAD)
@never_cache
@asks_and_takes
def confirm(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Answer what volunteers wrote of themselves."""
    gathering = led_gathering(request, pk)
    asked = request.POST.get("own_log", "")
    waiting = list(gathering.own_logs.all().unanswered().for_page())
    forms = [
        AnswerForm(request.POST if str(row.pk) == asked else None, own_log=row)
        for row in waiting
    ]
    for form in forms:
        if form.is_bound and _answered(request, form):
            messages.success(request, _("Answered."))
            return redirect(request.path)
    shown = {"gathering": gathering, "forms": forms}
    return render(request, "tally/own_confirm.html", shown)


def _answered(request: VolunteerRequest, form: AnswerForm) -> bool:
    def write() -> None:
        services.answer_own(
            own_log=form.own_log,
            by=request.user,
            now=clock.now(),
            **form.cleaned_data,
        )

    return carried_out(request, form, write)
