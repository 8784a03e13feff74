"""A child lost or found: for the organisers, and for tonight's leads."""

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from heritage.briefings.emergency import selectors as emergency_selectors
from heritage.common import clock
from heritage.common.access import Role, opens_to, row_or_404
from heritage.common.forms import (
    RecordPage,
    asks_and_takes,
    by_local_clock,
    refusals_shown,
    take_record,
    typed,
)
from heritage.common.sheets import pdf_response
from heritage.incidents.children import selectors, services, sheets
from heritage.incidents.children.forms import ChildForm, ChildNoteForm, EndForm
from heritage.incidents.models import ChildStep, LostChild
from heritage.people.request import VolunteerRequest


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
@by_local_clock
def lost_children(request: VolunteerRequest) -> HttpResponse:
    """Say what is done about a lost child; list the logs to those who keep them."""
    standing = request.standing
    page = selectors.children_page(
        standing.demonstration,
        request.user,
        clock.now(),
        organises=standing.is_organiser,
    )
    return render(request, "incidents/child_list.html", {"page": page})


@opens_to(Role.LEAD)
@never_cache
@asks_and_takes
def open_child_log(request: VolunteerRequest) -> HttpResponse:
    """Open a log quickly."""
    here, now = request.standing.demonstration, clock.now()
    leads = selectors.may_keep_logs(here, request.user, now)
    if not (request.standing.is_organiser or leads):
        raise Http404(_("You aren't leading a gathering now."))
    form = ChildForm(
        typed(request),
        instance=LostChild(demonstration=here),
        initial={"matter": request.GET.get("matter", "")},
    )
    if form.submit(by=request.user, now=now):
        return redirect("incidents:child_log", here.slug, form.saved.pk)
    return render(request, "incidents/child_form.html", {"form": form})


@opens_to(Role.LEAD)
@never_cache
@asks_and_takes
@by_local_clock
def child_log(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show a log with its checklist and minutes; write a line of one's own."""
    log, now = _kept(request, pk), clock.now()
    form = ChildNoteForm(typed(request), instance=ChildStep(lost_child=log))
    if form.submit(by=request.user, now=now):
        messages.success(request, _("Noted."))
        return redirect(request.path)
    context = {"page": selectors.child_page(log, now), "form": form}
    return render(request, "incidents/child.html", context)


@opens_to(Role.LEAD)
@require_POST
def press_child_step(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Note that a line of the checklist is done."""
    log, step = _kept(request, pk), request.POST.get("step", "")
    with refusals_shown(request):
        services.press_child_step(log=log, step=step, by=request.user, now=clock.now())
        messages.success(request, _("Noted."))
    return redirect(_to(request, pk))


@opens_to(Role.LEAD)
@require_POST
def note_police_called(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Note that the police were called, and when."""
    log = _kept(request, pk)
    with refusals_shown(request):
        services.note_police_called(log=log, by=request.user, now=clock.now())
        messages.success(request, _("Noted."))
    return redirect(_to(request, pk))


@opens_to(Role.LEAD)
@never_cache
@asks_and_takes
def end_child_log(request: VolunteerRequest, pk: int) -> HttpResponse:
    """End a log: how, to whom, and who checked."""
    form = EndForm(typed(request), instance=_kept(request, pk))
    page = RecordPage(
        title=_("End the log"),
        lead=_("Only when the child is with the person responsible for them."),
        submit=_("End the log"),
        kept=_("Log ended. We delete it after a year."),
        back=_to(request, pk),
    )
    return take_record(request, form, page, by=request.user, now=clock.now())


@opens_to(Role.VOLUNTEER)
@require_safe
def child_sheet(request: VolunteerRequest) -> HttpResponse:
    """Print the form to fill in by hand."""
    here = request.standing.demonstration
    pdf = sheets.child_sheet(
        emergency_selectors.emergency_page(here),
        printed_on=clock.today(here.time_zone),
        large_print="large" in request.GET,
    )
    return pdf_response(pdf, "lost-child-form")


def _kept(request: VolunteerRequest, pk: int) -> LostChild:
    """Find a log that the reader may write in at this hour."""
    rows = LostChild.objects.kept_by(request.user, clock.now())
    rows = rows.select_related("demonstration", "closed_by")
    return row_or_404(rows, request, pk)


def _to(request: VolunteerRequest, pk: int) -> str:
    return reverse(
        "incidents:child_log", args=[request.standing.demonstration.slug, pk]
    )
