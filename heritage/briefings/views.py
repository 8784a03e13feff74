"""Briefings: heard on a screen, at the gate or on paper; written and published."""

from datetime import datetime

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from heritage.briefings import selectors, services, sheets
from heritage.briefings.forms import BriefingForm, MetAtForm, PublishForm, TickForm
from heritage.briefings.models import Briefing, BriefingVersion
from heritage.briefings.services import LEADS_TICK_FOR
from heritage.common import clock
from heritage.common.access import Role, opens_to, row_or_404
from heritage.common.forms import (
    asks_and_takes,
    refusals_shown,
    safe_next,
    typed,
)
from heritage.common.sheets import pdf_response
from heritage.people.letters.selectors import address_of
from heritage.people.models import Volunteer
from heritage.people.request import VolunteerRequest


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
        "whole": "whole" in request.GET,
    }
    return render(request, "briefings/briefing.html", context)


@opens_to(Role.VOLUNTEER)
@require_POST
def acknowledge(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Confirm a version for oneself or for a child one answers for."""
    slug, now = request.standing.demonstration.slug, clock.now()
    versions = BriefingVersion.objects.visible_to(request.user)
    version = row_or_404(versions, request, pk)
    person = _spoken_for(request)
    with refusals_shown(request):
        services.acknowledge(
            version=version,
            volunteer=person,
            by=request.user,
            in_short="in_short" in request.POST,
            now=now,
        )
        words = _("Noted for %s. Thank you for reading it.")
        messages.success(request, words % person)
    here = reverse("briefings:briefing", args=[slug, version.briefing_id])
    return redirect(safe_next(request, here))


@opens_to(Role.LEAD)
@never_cache
@asks_and_takes
def tick_off(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Tick those who heard a briefing at the gate, or signed the sheet."""
    now = clock.now()
    told = Briefing.objects.told_by(request.user, now - LEADS_TICK_FOR)
    row = row_or_404(told.select_related("demonstration"), request, pk)
    ticks = selectors.tick_list(row)
    form = TickForm(typed(request), ticks=ticks)
    if form.submit(by=request.user, now=now):
        messages.success(request, _("Ticked off."))
        return redirect(safe_next(request, request.path))
    again = selectors.voided(ticks.to_hear_again, row, now)
    context = {"form": form, "ticks": ticks, "again": again}
    return render(request, "briefings/briefing_tick_off.html", context)


@opens_to(Role.VOLUNTEER)
@require_safe
def briefing_sheet(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Print the current version, with a table to sign."""
    version = selectors.current_version(_seen(request, pk))
    if version is None:
        raise Http404(_("This briefing isn't published yet."))
    pdf = sheets.briefing_sheet(
        selectors.briefing_sheet(version),
        printed_on=clock.today(version.briefing.demonstration.time_zone),
        large_print="large" in request.GET,
    )
    return pdf_response(pdf, "safety-briefing")


def _seen(request: VolunteerRequest, pk: int) -> Briefing:
    rows = Briefing.objects.visible_to(request.user).select_related("demonstration")
    return row_or_404(rows, request, pk)


def _spoken_for(request: VolunteerRequest) -> Volunteer:
    """Find whom the button names among the reader and their children."""
    me, who = request.standing.volunteer, request.POST.get("who", "")
    if me is None:
        raise Http404(_("You haven't joined this demonstration yet."))
    household = Volunteer.objects.active().answered_for_by(me)
    return get_object_or_404(household, pk=int(who) if who.isdecimal() else me.pk)


@opens_to(Role.ORGANISER)
@asks_and_takes
def compose(request: VolunteerRequest) -> HttpResponse:
    """Write a new briefing."""
    here, me = request.standing.demonstration, request.standing.volunteer
    met_at = MetAtForm(request.GET or None)
    form = BriefingForm(
        typed(request),
        instance=Briefing(demonstration=here),
        initial={
            "in_charge": me.name if me else "",
            "hazards": [one.pk for one in met_at.suggested(here)],
        },
    )
    if form.submit():
        messages.success(request, _("Briefing saved. Now publish it."))
        return redirect("desk:safety", here.slug)
    context = {"form": form, "met_at": met_at}
    return render(request, "briefings/briefing_form.html", context)


@opens_to(Role.ORGANISER)
@asks_and_takes
def edit(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Change a briefing; the published words stay until it is published again."""
    row = _managed(request, pk)
    form = BriefingForm(typed(request), instance=row)
    if form.submit():
        messages.success(request, _("Saved. Publish it to make it count."))
        return redirect("briefings:publishing", row.demonstration.slug, pk)
    context = {"form": form, "briefing": row}
    return render(request, "briefings/briefing_form.html", context)


@opens_to(Role.ORGANISER)
@asks_and_takes
def publishing(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show what would be published, to whom it matters, and publish it."""
    row, now = _managed(request, pk), clock.now()
    form = PublishForm(typed(request))
    if form.submit(briefing=row, by=request.user, now=now):
        _say_who_hears_again(request, row, now)
        return redirect("briefings:tick_off", row.demonstration.slug, pk)
    context = {"form": form, "page": selectors.publish_page(row, now)}
    return render(request, "briefings/briefing_publish.html", context)


@opens_to(Role.ORGANISER)
@require_POST
def load_starting(request: VolunteerRequest) -> HttpResponse:
    """Add the starting briefings, with the reader in charge until they say who is."""
    demonstration, me = request.standing.demonstration, request.standing.volunteer
    added = services.load_starting_briefings(
        demonstration=demonstration,
        in_charge=me.name if me else "",
        user=request.user,
        now=clock.now(),
    )
    words = ngettext(
        "%d briefing added. Read it and make it fit your ground.",
        "%d briefings added. Read them and make them fit your ground.",
        len(added),
    )
    messages.success(request, words % len(added))
    return redirect("desk:safety", demonstration.slug)


def _say_who_hears_again(
    request: VolunteerRequest, briefing: Briefing, now: datetime
) -> None:
    ticks = selectors.tick_list(briefing)
    messages.success(request, _("Published."))
    again = selectors.voided(ticks.to_hear_again, briefing, now)
    if again:
        names = ", ".join(one.volunteer.name for one in again)
        messages.warning(request, _("Must hear it again: %s.") % names)
    if ticks.version:
        _say_who_is_told(request, ticks.version, now)
    placed = [one.volunteer.name for one in again if one.place]
    if placed:
        messages.warning(
            request,
            _("With a place that needs it: %s.") % ", ".join(placed),
        )


def _say_who_is_told(
    request: VolunteerRequest, version: BriefingVersion, now: datetime
) -> None:
    """Say to whom a letter went, and whom none reaches."""
    people = [one.volunteer for one in selectors.voided_by(version, now)]
    told = [person.name for person in people if address_of(person)]
    if told:
        messages.success(request, _("We're writing to %s.") % ", ".join(told))
    untold = [person for person in people if not address_of(person)]
    if untold:
        names = ", ".join(one.name for one in untold)
        messages.warning(request, _("No e-mail for %s. Tell them yourself.") % names)


def _managed(request: VolunteerRequest, pk: int) -> Briefing:
    rows = Briefing.objects.managed_by(request.user).select_related("demonstration")
    return row_or_404(rows, request, pk)
