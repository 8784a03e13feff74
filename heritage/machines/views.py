"""The machines: their rules, their guards, and the check of the day."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to, row_or_404, row_or_new
from heritage.common.forms import RecordPage, asks_and_takes, take_record, typed
from heritage.common.sheets import pdf_response
from heritage.machines import selectors, services, sheets
from heritage.machines.forms import CheckForm, MachineForm
from heritage.machines.models import Machine
from heritage.people.request import VolunteerRequest


@opens_to(Role.VOLUNTEER)
@require_safe
def machines(request: VolunteerRequest) -> HttpResponse:
    """List the machines, and whether each may run in public today."""
    now, demonstration = clock.now(), request.standing.demonstration
    rows = selectors.machines_today(demonstration, now)
    context = {
        "machines": rows,
        "may_run": sum(one.may_run and not one.lacks_tractor for one in rows),
        "may_check": Machine.objects.run_by(request.user, now)
        .of(demonstration)
        .exists(),
    }
    return render(request, "machines/machine_list.html", context)


@opens_to(Role.VOLUNTEER)
@require_safe
def machine(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show a machine's rules, its guards, and how it was found today."""
    now, row = clock.now(), _seen(request, pk)
    context = {
        "page": selectors.machine_page(row, now),
        "jam_rule": selectors.JAM_RULE,
        "may_check": Machine.objects.run_by(request.user, now).contains(row),
    }
    return render(request, "machines/machine.html", context)


@opens_to(Role.ORGANISER)
@asks_and_takes
def take_machine(request: VolunteerRequest, pk: int | None = None) -> HttpResponse:
    """Write down a machine, correct it, or take away one that was never checked."""
    rows = Machine.objects.managed_by(request.user).for_page()
    row = row_or_new(rows, request, pk)
    form = MachineForm(typed(request), instance=row)
    return take_record(request, form, _words_of(request, row))


@opens_to(Role.LEAD)
@asks_and_takes
def check_machine(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Tick each guard that is in its place today."""
    now = clock.now()
    rows = Machine.objects.run_by(request.user, now).for_page()
    row = row_or_404(rows, request, pk)
    form = CheckForm(typed(request), machine=row)
    if form.submit(by=request.user, now=now):
        today = selectors.machine_page(row, now).today
        say = messages.success if today.may_run else messages.warning
        say(request, f"{row}: {today.words}.")
        return redirect("machines:machine", row.demonstration.slug, pk)
    context = {"form": form, "machine": row}
    return render(request, "machines/machine_check.html", context)


@opens_to(Role.VOLUNTEER)
@require_safe
def machine_sheet(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Print a machine's rules, with a table for the daily check."""
    now, row = clock.now(), _seen(request, pk)
    pdf = sheets.machine_sheet(
        selectors.machine_page(row, now),
        printed_on=clock.today(row.demonstration.time_zone),
        large_print="large" in request.GET,
    )
    return pdf_response(pdf, "machine")


@opens_to(Role.ORGANISER)
@require_POST
def load_machines(request: VolunteerRequest) -> HttpResponse:
    """Add the usual machines that are not on the list."""
    demonstration = request.standing.demonstration
    added = len(services.load_starting_machines(demonstration=demonstration))
    words = ngettext(
        "%d machine added. Make it fit yours, guard by guard.",
        "%d machines added. Make them fit yours, guard by guard.",
        added,
    )
    messages.success(request, words % added)
    return redirect("machines:machines", demonstration.slug)


def _seen(request: VolunteerRequest, pk: int) -> Machine:
    rows = Machine.objects.visible_to(request.user).for_page()
    return row_or_404(rows, request, pk)


def _words_of(request: VolunteerRequest, row: Machine) -> RecordPage:
    slug, added = request.standing.demonstration.slug, row.pk is None
    return RecordPage(
        title=row.name or _("Add a machine"),
        lead=_("Each guard on its own line: you tick them one by one on the day."),
        submit=_("Save"),
        kept=_("Machine added. Check the guards.") if added else _("Saved."),
        back=reverse("machines:machines", args=[slug]),
        kept_at="" if added else reverse("machines:machine", args=[slug, row.pk]),
        remove=_("Delete the machine"),
        remove_lead=_("Its guards go too. A machine that was ever checked stays."),
        removed=_("Machine deleted."),
        beside="machines/_which_guards.html",
    )
