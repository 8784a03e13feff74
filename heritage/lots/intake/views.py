"""The crop's moves as a file: taken away, and taken in."""

from django.contrib import messages
from django.http import HttpResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.forms import asks_and_takes
from heritage.kits.tables.read import TableRow
from heritage.kits.tables.write import csv_table, xlsx_book
from heritage.lots.intake import services
from heritage.lots.intake.forms import MovesFileForm, MovesForm, seal_lines
from heritage.lots.intake.selectors import move_heads, move_rows
from heritage.people.request import VolunteerRequest

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@opens_to(Role.ORGANISER)
@never_cache
@require_safe
def moves_csv(request: VolunteerRequest) -> HttpResponseBase:
    """Give every move as CSV."""
    rows = move_rows(request.standing.demonstration)
    lines = csv_table(move_heads(), rows)
    response = StreamingHttpResponse(lines, content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = 'attachment; filename="crop.csv"'
    return response


@opens_to(Role.ORGANISER)
@never_cache
@require_safe
def moves_xlsx(request: VolunteerRequest) -> HttpResponse:
    """Give every move as a workbook."""
    rows = move_rows(request.standing.demonstration)
    book = xlsx_book([(_("Moves"), move_heads(), rows)])
    response = HttpResponse(book, content_type=XLSX)
    response["Content-Disposition"] = 'attachment; filename="crop.xlsx"'
    return response


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def take_in(request: VolunteerRequest) -> HttpResponse:
    """Ask for a file, then show what would become of every line."""
    if request.method != "POST":
        return render(request, "lots/intake_file.html", {"form": MovesFileForm()})
    form = MovesFileForm(request.POST, request.FILES)
    if not form.is_valid():
        return render(request, "lots/intake_file.html", {"form": form})
    return _checked(request, form.cleaned_data["file"])


@opens_to(Role.ORGANISER)
@never_cache
@require_POST
def take_in_do(request: VolunteerRequest) -> HttpResponse:
    """Take the whole file in, or nothing of it."""
    here = request.standing.demonstration
    form = MovesForm(request.POST, demonstration=here)
    if form.submit(by=request.user, now=clock.now()):
        new = len(form.saved.new)
        words = ngettext("%d move taken in.", "%d moves taken in.", new)
        messages.success(request, words % new)
        return redirect("lots:list", here.slug)
    for errors in form.errors.values():
        for sentence in errors:
            messages.error(request, str(sentence))
    lines = form.cleaned_data.get("lines")
    return _checked(request, lines) if lines else redirect("lots:take_in", here.slug)


def _checked(request: VolunteerRequest, lines: list[TableRow]) -> HttpResponse:
    here = request.standing.demonstration
    verdicts = services.judge(
        demonstration=here, lines=lines, by=request.user, now=clock.now()
    )
    form = MovesForm(initial={"lines": seal_lines(here, lines)}, demonstration=here)
    context = {"verdicts": verdicts, "form": form, "heads": lines[0].cells}
    return render(request, "lots/intake_check.html", context)
