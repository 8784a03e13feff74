"""The list as a file: taken away, and taken in from somebody's own spreadsheet."""

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
from heritage.common.forms import asks_and_takes, refusals_shown
from heritage.kits.tables.write import csv_table, xlsx_book
from heritage.people.intake import selectors
from heritage.people.intake.forms import ColumnsForm, FileForm
from heritage.people.request import Request

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@opens_to(Role.ORGANISER)
@never_cache
@require_safe
def list_csv(request: Request) -> HttpResponseBase:
    """Give the list as CSV."""
    rows = selectors.roll(request.standing.demonstration)
    return _download(
        StreamingHttpResponse(
            csv_table(selectors.roll_heads(), rows),
            content_type="text/csv; charset=utf-8",
        ),
        "people.csv",
    )


@opens_to(Role.ORGANISER)
@never_cache
@require_safe
def list_xlsx(request: Request) -> HttpResponseBase:
    """Give the list as a workbook."""
    rows = selectors.roll(request.standing.demonstration)
    book = xlsx_book([(_("People"), selectors.roll_heads(), rows)])
    return _download(HttpResponse(book, content_type=XLSX), "people.xlsx")


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def take_in(request: Request) -> HttpResponse:
    """Ask for a file; then show its columns with what they seem to hold."""
    if request.method != "POST":
        return render(request, "people/intake_file.html", {"form": FileForm()})
    form = FileForm(request.POST, request.FILES)
    if not form.is_valid():
        return render(request, "people/intake_file.html", {"form": form})
    columns = ColumnsForm(
        demonstration=request.standing.demonstration, lines=form.cleaned_data["file"]
    )
    return render(request, "people/intake_columns.html", {"form": columns})


@opens_to(Role.ORGANISER)
@never_cache
@require_POST
def take_in_check(request: Request) -> HttpResponse:
    """Show what would become of every line; nothing is written."""
    form = ColumnsForm(request.POST, demonstration=request.standing.demonstration)
    return _checked(request, form)


@opens_to(Role.ORGANISER)
@never_cache
@require_POST
def take_in_do(request: Request) -> HttpResponse:
    """Take the whole file in, or nothing of it."""
    demonstration = request.standing.demonstration
    form = ColumnsForm(request.POST, demonstration=demonstration)
    if form.is_valid() and not form.is_moved:
        # Where the list has changed since it was looked at, every line is shown again.
        with refusals_shown(request):
            plan = form.write(now=clock.now())
            messages.success(request, _told(plan))
            return redirect("people:list", demonstration.slug)
    return _checked(request, form)


def _checked(request: Request, form: ColumnsForm) -> HttpResponse:
    if not form.table:
        for words in form.non_field_errors():
            messages.error(request, str(words))
        return render(request, "people/intake_file.html", {"form": FileForm()})
    demonstration = request.standing.demonstration
    if form.is_moved:
        # Other headings are other guesses: look at the columns once more.
        form = ColumnsForm(
            demonstration=demonstration, lines=form.table, heads=form.chosen
        )
    if not form.is_valid():
        return render(request, "people/intake_columns.html", {"form": form})
    today = clock.today(demonstration.time_zone)
    plan = selectors.intake_plan(demonstration, form.people, form.columns, today)
    return render(request, "people/intake_check.html", {"form": form, "plan": plan})


def _told(plan: selectors.IntakePlan) -> str:
    new = ngettext(
        "%d person is new on the list", "%d people are new on the list", len(plan.new)
    ) % len(plan.new)
    rest = _("something was written in for %(filled)d, %(same)d stay as they were")
    figures = {"filled": len(plan.filled), "same": len(plan.same)}
    return f"{new}; {rest % figures}."


def _download(response: HttpResponseBase, name: str) -> HttpResponseBase:
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response
