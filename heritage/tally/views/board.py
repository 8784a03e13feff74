"""The board that everybody may read, and the book to be taken away."""

from django.http import HttpResponse, HttpResponseBase, StreamingHttpResponse
from django.shortcuts import render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from heritage.common.access import Role, opens_to
from heritage.people.request import Request, VolunteerRequest
from heritage.tally import selectors, sheets
from heritage.tally.drawings import evenings_drawing
from heritage.tally.selectors.lines import book_lines, work_lines

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
        selectors.statements(demonstration),
    )
    response = HttpResponse(made, content_type=XLSX)
    response["Content-Disposition"] = 'attachment; filename="tally.xlsx"'
    return response
