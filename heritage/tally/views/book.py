"""Pages of the tally book."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.sheets import pdf_response
from heritage.gatherings.models import Gathering
from heritage.people.models import Volunteer
from heritage.people.request import Request, VolunteerRequest
from heritage.tally import selectors, services, sheets
from heritage.tally.drawings import evenings_drawing
from heritage.tally.forms import CorrectionForm, EveningForm


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
def board(request: Request) -> HttpResponse:
    """Show the tally of everybody."""
    page = selectors.board(request.standing.demonstration)
    drawing = evenings_drawing(page.evenings)
    return render(request, "tally/board.html", {"page": page, "drawing": drawing})


@opens_to(Role.LEAD)
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def log(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Log an evening's beets."""
    gathering = _led_gathering(request, pk)
    book = selectors.evening_book(gathering)
    form = EveningForm(
        request.POST or None,
        rows=book.rows,
        plots=book.plots,
        initial={"plot": gathering.plot_id},
    )
    if request.method == "POST" and form.is_valid():
        try:
            services.log_evening(
                gathering=gathering,
                counts=form.counts(),
                plot=form.cleaned_data["plot"],
                way=form.cleaned_data["way"],
                key=form.cleaned_data["key"],
                by=request.user,
                now=clock.now(),
            )
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(request, _("Written in the book."))
            return redirect(request.path)
    return render(request, "tally/log.html", {"book": book, "form": form})


@opens_to(Role.LEAD)
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def correct(request: VolunteerRequest, pk: int, entry_pk: int) -> HttpResponse:
    """Put an entry right by a counter-entry."""
    gathering = _led_gathering(request, pk)
    entry = get_object_or_404(gathering.entries.all().for_book(), pk=entry_pk)
    form = CorrectionForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            services.correct(
                entry=entry, by=request.user, now=clock.now(), **form.cleaned_data
            )
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(request, _("The book has been put right."))
            return redirect("tally:log", gathering.demonstration.slug, gathering.pk)
    return render(request, "tally/correct.html", {"entry": entry, "form": form})


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
def statement(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show what the book comes to for one person."""
    page = selectors.statement(_own_volunteer(request, pk))
    return render(request, "tally/statement.html", {"page": page})


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
def statement_sheet(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Print a person's statement."""
    page = selectors.statement(_own_volunteer(request, pk))
    pdf = sheets.statement_sheet(
        page,
        printed_on=clock.today(page.demonstration.time_zone),
        large_print="large" in request.GET,
    )
    return pdf_response(pdf, "statement")


def _led_gathering(request: VolunteerRequest, pk: int) -> Gathering:
    led = Gathering.objects.led_by(request.user).of(request.standing.demonstration)
    return get_object_or_404(led.select_related("demonstration", "plot"), pk=pk)


def _own_volunteer(request: VolunteerRequest, pk: int) -> Volunteer:
    """Return a person whose statement the asker may read: 404 for anybody else's."""
    rows = Volunteer.objects.visible_to(request.user).of(request.standing.demonstration)
    volunteer = request.standing.volunteer
    if not request.standing.is_organiser and volunteer:
        rows = rows.answered_for_by(volunteer)
    return get_object_or_404(rows.select_related("demonstration"), pk=pk)
