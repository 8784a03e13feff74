"""The season's report, as a page and on paper."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.sheets import pdf_response
from heritage.desk.report import selectors, sheets
from heritage.people.request import VolunteerRequest


@opens_to(Role.ORGANISER)
@never_cache
@require_safe
def report(request: VolunteerRequest) -> HttpResponse:
    """Show what the season came to, each figure with its source."""
    page = selectors.report(request.standing.demonstration)
    return render(request, "desk/report.html", {"page": page})


@opens_to(Role.ORGANISER)
@never_cache
@require_safe
def report_sheet(request: VolunteerRequest) -> HttpResponse:
    """Print the season's report."""
    home = request.standing.demonstration
    pdf = sheets.report_sheet(
        selectors.report(home),
        printed_on=clock.today(home.time_zone),
        large_print=request.GET.get("large") == "1",
    )
    return pdf_response(pdf, "season-report")
