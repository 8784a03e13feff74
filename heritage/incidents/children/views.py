"""A child lost or found: for the organisers, and for tonight's leads."""

from collections.abc import Callable

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from heritage.briefings.emergency import selectors as emergency_selectors
from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.doors import asks_and_takes, carried_out, done_or_said, typed
from heritage.common.records import RowPage, by_local_clock, take_row
from heritage.common.sheets import pdf_response
from heritage.incidents.children import selectors, services, sheets
from heritage.incidents.children.forms import ChildForm, ChildNoteForm, EndForm
from heritage.incidents.models import LostChild
from heritage.people.request import VolunteerRequest


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
@by_local_clock
def lost_children(request: VolunteerRequest) -> HttpResponse:
    """Say what is done about a lost child; list the logs to whoever keeps them."""
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
        raise Http404(_("You lead no gathering at this hour."))
    asked = request.GET.get("matter", "")
    form = ChildForm(typed(request), initial={"matter": asked})
    made: list[LostChild] = []

    def write() -> None:
        made.append(
            services.open_child_log(
                demonstration=here, said=form.said(), by=request.user, now=now
            )
        )

    if carried_out(request, form, write):
        return redirect("incidents:child_log", here.slug, made[0].pk)
    return render(request, "incidents/child_form.html", {"form": form})


@opens_to(Role.LEAD)
@never_cache
@asks_and_takes
@by_local_clock
def child_log(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show a log with its checklist and minutes; write a line of one's own."""
    log, now = _kept(request, pk), clock.now()
    form = ChildNoteForm(typed(request))

    def write() -> object:
        text = form.cleaned_data["text"]
        return services.note_of_child(log=log, text=text, by=request.user, now=now)

    if carried_out(request, form, write):
        messages.success(request, _("Written down."))
        return redirect(request.path)
    context = {"page": selectors.child_page(log, now), "form": form}
    return render(request, "incidents/child.html", context)


@opens_to(Role.LEAD)
@require_POST
def press_child_step(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Note that a line of the checklist is done."""
    step = request.POST.get("step", "")
    return _pressed(
        request,
        pk,
        lambda log: services.press_child_step(
            log=log, step=step, by=request.user, now=clock.now()
        ),
    )


@opens_to(Role.LEAD)
@require_POST
def note_police_called(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Note that the police were called, and when."""
    return _pressed(
        request,
        pk,
        lambda log: services.note_police_called(
            log=log, by=request.user, now=clock.now()
        ),
    )


@opens_to(Role.LEAD)
@never_cache
@asks_and_takes
def end_child_log(request: VolunteerRequest, pk: int) -> HttpResponse:
    """End a log: how, to whom, and who checked."""
    log = _kept(request, pk)
    form = EndForm(typed(request), instance=log)

    def keep() -> object:
        return services.end_child_log(
            log=log, said=form.said(), by=request.user, now=clock.now()
        )

    page = RowPage(
        title=_("End the log"),
        lead=_("Only when the child is with whoever answers for them."),
        submit=_("It has ended"),
        kept=_("The log has ended. It is deleted after a year."),
        back=_to(request, pk),
    )
    return take_row(request, form, page, keep)


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


def _pressed(
    request: VolunteerRequest, pk: int, write: Callable[[LostChild], object]
) -> HttpResponse:
    log = _kept(request, pk)
    done_or_said(request, lambda: write(log), _("Written down."))
    return redirect(_to(request, pk))


def _kept(request: VolunteerRequest, pk: int) -> LostChild:
    rows = LostChild.objects.kept_by(request.user, clock.now())
    here = rows.of(request.standing.demonstration)
    return get_object_or_404(here.select_related("demonstration", "closed_by"), pk=pk)


def _to(request: VolunteerRequest, pk: int) -> str:
    return reverse(
        "incidents:child_log", args=[request.standing.demonstration.slug, pk]
    )
