"""Pages of the tally book."""

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase, StreamingHttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to, row_or_404
from heritage.common.forms import asks_and_takes, typed
from heritage.common.parting import parted
from heritage.gatherings.models import Gathering
from heritage.people.models import Volunteer
from heritage.people.request import Request, VolunteerRequest
from heritage.tally import selectors, sheets
from heritage.tally.drawings import evenings_drawing
from heritage.tally.forms import (
    AnswerForm,
    CorrectionForm,
    CrewForm,
    GroundForm,
    OwnLogForm,
    PaperForm,
    RowsForm,
    WorkCorrectionForm,
    WorkForm,
)
from heritage.tally.statements.selectors import statements

# Of a long season so many evenings are drawn; those before are told, folded.
EVENINGS_SHOWN = 12
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def led_gathering(request: VolunteerRequest, pk: int) -> Gathering:
    """Return a gathering that the asker leads: 404 for any other."""
    rows = Gathering.objects.led_by(request.user)
    return row_or_404(rows.select_related("demonstration", "plot"), request, pk)


def own_volunteer(request: VolunteerRequest, pk: int) -> Volunteer:
    """Return a person whose statement the asker may read: 404 for anybody else's."""
    rows = Volunteer.objects.visible_to(request.user)
    volunteer = request.standing.volunteer
    if not request.standing.is_organiser and volunteer:
        rows = rows.answered_for_by(volunteer)
    return row_or_404(rows.select_related("demonstration"), request, pk)


@opens_to(Role.VISITOR)
@never_cache
@require_safe
def board(request: Request) -> HttpResponse:
    """Show what everybody has done: by name to members, without names to visitors."""
    is_member = request.role >= Role.VOLUNTEER
    page = selectors.board(request.standing.demonstration, with_people=is_member)
    context = {
        "page": page,
        "is_member": is_member,
        "drawing": evenings_drawing(page.evenings[-EVENINGS_SHOWN:]),
        "earlier": page.evenings[:-EVENINGS_SHOWN],
    }
    return render(request, "tally/board.html", context)


@opens_to(Role.ORGANISER)
@never_cache
@require_safe
def book_csv(request: VolunteerRequest) -> HttpResponseBase:
    """Hand out every line of the book as CSV."""
    lines = selectors.book_lines(request.standing.demonstration)
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
    workbook = sheets.book_xlsx(
        selectors.book_lines(demonstration),
        selectors.work_lines(demonstration),
        statements(demonstration),
    )
    response = HttpResponse(workbook, content_type=XLSX)
    response["Content-Disposition"] = 'attachment; filename="tally.xlsx"'
    return response


@opens_to(Role.LEAD)
@never_cache
@asks_and_takes
def paper(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Type a paper sheet in."""
    return _take_rows(request, pk, PaperForm, "tally/paper.html")


@opens_to(Role.LEAD)
@never_cache
@asks_and_takes
def crew(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Share what a crew pulled together."""
    return _take_rows(request, pk, CrewForm, "tally/crew.html")


@opens_to(Role.LEAD)
@never_cache
@asks_and_takes
def correct(request: VolunteerRequest, pk: int, entry_pk: int) -> HttpResponse:
    """Correct an entry by a counter-entry."""
    gathering = led_gathering(request, pk)
    entry = get_object_or_404(gathering.entries.all().for_book(), pk=entry_pk)
    form = CorrectionForm(typed(request))
    if form.submit(entry=entry, by=request.user, now=clock.now()):
        messages.success(request, _("Corrected."))
        return redirect("tally:log", gathering.demonstration.slug, gathering.pk)
    return render(request, "tally/correct.html", {"entry": entry, "form": form})


@opens_to(Role.LEAD)
@never_cache
@asks_and_takes
def work(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Write down other work, and the machine's minutes."""
    gathering = led_gathering(request, pk)
    book = selectors.evening_book(gathering)
    form = WorkForm(typed(request), people=[row.volunteer for row in book.rows])
    if form.submit(gathering=gathering, by=request.user, now=clock.now()):
        messages.success(request, _("Saved."))
        return redirect(request.path)
    return render(request, "tally/work.html", {"book": book, "form": form})


@opens_to(Role.LEAD)
@never_cache
@asks_and_takes
def correct_work(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Correct a line of other work by a counter-line."""
    gathering = led_gathering(request, pk)
    lines = list(gathering.work.all().for_book())
    form = WorkCorrectionForm(typed(request), lines=lines)
    if form.submit(by=request.user, now=clock.now()):
        messages.success(request, _("Corrected."))
        return redirect("tally:work", gathering.demonstration.slug, gathering.pk)
    context = {"gathering": gathering, "lines": lines, "form": form}
    return render(request, "tally/work_correct.html", context)


@opens_to(Role.LEAD)
@never_cache
@asks_and_takes
def ground(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Write down how much ground was cleared."""
    book = selectors.evening_book(led_gathering(request, pk))
    form = GroundForm(typed(request), book=book)
    if form.submit(by=request.user, now=clock.now()):
        messages.success(request, _("Saved."))
        return redirect(request.path)
    return render(request, "tally/ground.html", {"book": book, "form": form})


def _take_rows(
    request: VolunteerRequest, pk: int, form_class: type[RowsForm], template: str
) -> HttpResponse:
    gathering = led_gathering(request, pk)
    book = selectors.evening_book(gathering)
    form = form_class(typed(request), book=book)
    if form.submit(by=request.user, now=clock.now()):
        messages.success(request, _("Saved."))
        return redirect("tally:log", gathering.demonstration.slug, gathering.pk)
    return render(request, template, {"book": book, "form": form})


@opens_to(Role.VOLUNTEER)
@never_cache
@asks_and_takes
def mine(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Let a volunteer write down what they pulled, for a lead to confirm."""
    rows = Gathering.objects.visible_to(request.user)
    gathering = row_or_404(rows.select_related("demonstration", "plot"), request, pk)
    me = request.standing.volunteer
    household = selectors.household(me) if me else []
    form = OwnLogForm(typed(request), household=household)
    if form.submit(gathering=gathering, by=request.user, now=clock.now()):
        messages.success(
            request, _("Sent to the lead, who confirms it before it counts.")
        )
        return redirect(request.path)
    context = {
        "gathering": gathering,
        "household": household,
        "logs": selectors.own_logs(gathering, household),
        "form": form,
    }
    return render(request, "tally/own_log.html", context)


@opens_to(Role.LEAD)
@never_cache
@asks_and_takes
def confirm(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Answer what volunteers wrote of themselves."""
    now, gathering = clock.now(), led_gathering(request, pk)
    asked = request.POST.get("own_log", "")
    forms = [
        AnswerForm(request.POST if str(row.pk) == asked else None, own_log=row)
        for row in gathering.own_logs.all().unanswered().for_page()
    ]
    if any(form.submit(by=request.user, now=now) for form in forms):
        messages.success(request, _("Answered."))
        return redirect(request.path)
    parts = parted(
        forms,
        lambda form: form.own_log.volunteer.name,
        at_hand=lambda form: bool(form.errors),
        is_tall=True,
    )
    context = {"gathering": gathering, "parts": parts}
    return render(request, "tally/own_confirm.html", context)
