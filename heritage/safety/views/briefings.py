"""The organiser's side of a briefing: compose, change, publish."""

from datetime import datetime

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.doors import asks_and_takes, carried_out, typed
from heritage.people.request import VolunteerRequest
from heritage.people.selectors import address_of
from heritage.safety import selectors, services
from heritage.safety.forms import BriefingForm, MetAtForm, SureForm
from heritage.safety.models import Briefing, BriefingVersion, Machine


@opens_to(Role.VOLUNTEER)
@require_safe
def briefings(request: VolunteerRequest) -> HttpResponse:
    """List the briefings, and which of them the reader has heard."""
    standing = request.standing
    lines = selectors.briefing_lines(
        standing.demonstration, standing.volunteer, with_drafts=standing.is_organiser
    )
    now = clock.now()
    context = {
        "lines": lines,
        "machines": selectors.machines_today(standing.demonstration, now),
        "may_check": Machine.objects.run_by(request.user, now)
        .of(standing.demonstration)
        .exists(),
    }
    return render(request, "safety/briefing_list.html", context)


@opens_to(Role.ORGANISER)
@asks_and_takes
def compose(request: VolunteerRequest) -> HttpResponse:
    """Write a new briefing."""
    demonstration = request.standing.demonstration
    me, met_at = request.standing.volunteer, MetAtForm(request.GET or None)
    form = BriefingForm(
        typed(request),
        instance=Briefing(demonstration=demonstration),
        initial={
            "in_charge": me.name if me else "",
            "hazards": [one.pk for one in met_at.suggested(demonstration)],
        },
    )

    def write() -> object:
        return services.compose_briefing(
            demonstration=demonstration,
            words=form.words(),
            hazards=form.cleaned_data["hazards"],
        )

    if carried_out(request, form, write):
        messages.success(request, _("The briefing is written. Now publish it."))
        return redirect("safety:briefings", demonstration.slug)
    context = {"form": form, "met_at": met_at}
    return render(request, "safety/briefing_form.html", context)


@opens_to(Role.ORGANISER)
@asks_and_takes
def edit(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Change a briefing; the published words stay until it is published again."""
    briefing = _briefing(request, pk)
    form = BriefingForm(typed(request), instance=_briefing(request, pk))

    def write() -> object:
        return services.revise_briefing(
            briefing=briefing,
            words=form.words(),
            hazards=form.cleaned_data["hazards"],
        )

    if carried_out(request, form, write):
        messages.success(request, _("Saved. It holds once it is published."))
        return redirect("safety:publishing", request.standing.demonstration.slug, pk)
    context = {"form": form, "briefing": form.instance}
    return render(request, "safety/briefing_form.html", context)


@opens_to(Role.ORGANISER)
@asks_and_takes
def publishing(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show what would be published, to whom it matters, and publish it."""
    slug, briefing = request.standing.demonstration.slug, _briefing(request, pk)
    form = SureForm(typed(request))

    now = clock.now()

    def write() -> object:
        return services.publish(briefing=briefing, user=request.user, now=now)

    if carried_out(request, form, write):
        _say_who_hears_again(request, briefing, now)
        return redirect("safety:tick_off", slug, pk)
    ticks, words = selectors.tick_list(briefing), selectors.words_of(briefing)
    heard = [tick.volunteer for tick in ticks.heard]
    context = {
        "form": form,
        "briefing": briefing,
        "ticks": ticks,
        "voided": selectors.voided(heard, briefing, now),
        "words": words,
        "parts": selectors.parts_of(words),
        "open_parts": selectors.open_parts(words),
        "ease": selectors.ease_of(words),
        "reasons": selectors.reasons_not_to_publish(
            briefing, clock.today(briefing.demonstration.time_zone)
        ),
        "is_changed": selectors.has_changed(briefing, ticks.version),
    }
    return render(request, "safety/briefing_publish.html", context)


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
        "%d briefing is added. Read it and make it fit your ground.",
        "%d briefings are added. Read them and make them fit your ground.",
        len(added),
    )
    messages.success(request, words % len(added))
    return redirect("safety:briefings", demonstration.slug)


def _say_who_hears_again(
    request: VolunteerRequest, briefing: Briefing, now: datetime
) -> None:
    ticks = selectors.tick_list(briefing)
    messages.success(request, _("Version %s is published.") % ticks.version_number)
    again = selectors.voided(ticks.to_hear_again, briefing, now)
    if again:
        names = ", ".join(one.volunteer.name for one in again)
        messages.warning(request, _("These must hear it again: %s.") % names)
    if ticks.version:
        _say_who_is_told(request, ticks.version, now)
    placed = [one.volunteer.name for one in again if one.place]
    if placed:
        messages.warning(
            request,
            _("Of these hold a place that asks for it: %s.") % ", ".join(placed),
        )


def _say_who_is_told(
    request: VolunteerRequest, version: BriefingVersion, now: datetime
) -> None:
    """Say to whom a letter went, and whom none reaches."""
    people = [one.volunteer for one in selectors.voided_by(version, now)]
    told = [person.name for person in people if address_of(person)]
    if told:
        messages.success(request, _("A letter tells: %s.") % ", ".join(told))
    untold = [person for person in people if not address_of(person)]
    if untold:
        names = ", ".join(one.name for one in untold)
        messages.warning(request, _("No letter reaches: %s. Tell them.") % names)


def _briefing(request: VolunteerRequest, pk: int) -> Briefing:
    rows = Briefing.objects.managed_by(request.user)
    here = rows.of(request.standing.demonstration).select_related("demonstration")
    return get_object_or_404(here, pk=pk)
