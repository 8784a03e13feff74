"""Hearing a briefing: on a screen, at the gate, or on paper."""

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.doors import (
    asks_and_takes,
    carried_out,
    done_or_said,
    safe_next,
    typed,
)
from heritage.common.sheets import pdf_response
from heritage.people.models import Volunteer
from heritage.people.request import VolunteerRequest
from heritage.safety import selectors, services, sheets
from heritage.safety.forms import TickForm
from heritage.safety.models import Briefing, BriefingVersion
from heritage.safety.services import LEADS_TICK_FOR


@opens_to(Role.VOLUNTEER)
@never_cache
@require_safe
def briefing(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show a briefing in its current version, to be read and confirmed."""
    row = _seen(request, pk)
    told = Briefing.objects.told_by(request.user, clock.now() - LEADS_TICK_FOR)
    context = {
        "page": selectors.briefing_page(row, request.standing.volunteer),
        "may_tick": told.contains(row),
        "next": safe_next(request, ""),
    }
    return render(request, "safety/briefing.html", context)


@opens_to(Role.VOLUNTEER)
@require_POST
def acknowledge(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Confirm a version for oneself or for a child one answers for."""
    slug = request.standing.demonstration.slug
    versions = BriefingVersion.objects.visible_to(request.user)
    version = get_object_or_404(versions.of(request.standing.demonstration), pk=pk)
    person = _spoken_for(request)
    done_or_said(
        request,
        lambda: services.acknowledge(
            version=version, volunteer=person, by=request.user, now=clock.now()
        ),
        _("Noted for %s. Thank you for reading it.") % person,
    )
    here = reverse("safety:briefing", args=[slug, version.briefing_id])
    return redirect(safe_next(request, here))


@opens_to(Role.LEAD)
@never_cache
@asks_and_takes
def tick_off(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Tick those who heard a briefing at the gate, or signed the sheet."""
    now, slug = clock.now(), request.standing.demonstration.slug
    told = Briefing.objects.told_by(request.user, now - LEADS_TICK_FOR)
    rows = told.of(request.standing.demonstration).select_related("demonstration")
    row = get_object_or_404(rows, pk=pk)
    ticks = selectors.tick_list(row)
    form = TickForm(typed(request), ticks=ticks)

    def write() -> object:
        return services.acknowledge_all(
            version=form.cleaned_data["version"],
            volunteers=form.cleaned_data["people"],
            how=form.cleaned_data["how"],
            by=request.user,
            now=now,
        )

    if carried_out(request, form, write):
        messages.success(request, _("They are ticked off."))
        here = reverse("safety:tick_off", args=[slug, pk])
        return redirect(safe_next(request, here))
    again = selectors.voided(ticks.to_hear_again, row, now)
    context = {"form": form, "ticks": ticks, "again": again}
    return render(request, "safety/briefing_tick_off.html", context)


@opens_to(Role.VOLUNTEER)
@require_safe
def briefing_sheet(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Print the current version, with a table to sign."""
    version = selectors.current_version(_seen(request, pk))
    if version is None:
        raise Http404(_("This briefing is not published yet."))
    pdf = sheets.briefing_sheet(
        selectors.briefing_sheet(version),
        printed_on=clock.today(version.briefing.demonstration.time_zone),
        large_print="large" in request.GET,
    )
    return pdf_response(pdf, "safety-briefing")


def _seen(request: VolunteerRequest, pk: int) -> Briefing:
    rows = Briefing.objects.visible_to(request.user)
    here = rows.of(request.standing.demonstration).select_related("demonstration")
    return get_object_or_404(here, pk=pk)


def _spoken_for(request: VolunteerRequest) -> Volunteer:
    """Find whom the button names among the reader and their children."""
    me, who = request.standing.volunteer, request.POST.get("who", "")
    if me is None:
        raise Http404(_("You have not joined this demonstration."))
    household = Volunteer.objects.active().answered_for_by(me)
    return get_object_or_404(household, pk=int(who) if who.isdecimal() else me.pk)
