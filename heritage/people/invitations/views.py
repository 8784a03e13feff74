"""Invitations: the organiser's pages, and the page of whoever is invited."""

from django.conf import settings
from django.contrib import messages
from django.forms import Form
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.doors import asks_and_takes, carried_out, done_or_said, typed
from heritage.common.sheets import pdf_response
from heritage.people.agreements import selectors as agreements_selectors
from heritage.people.invitations import selectors, services, sheets
from heritage.people.invitations.forms import InviteForm, TakeUpForm
from heritage.people.models import Invitation, Subject, User, Volunteer
from heritage.people.request import Request, VolunteerRequest


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def invitations(request: VolunteerRequest) -> HttpResponse:
    """List the invitations, and send one."""
    demonstration, now = request.standing.demonstration, clock.now()
    form = InviteForm(typed(request))

    def write() -> object:
        return services.invite(
            demonstration=demonstration, by=request.user, now=now, **form.cleaned_data
        )

    if carried_out(request, form, write):
        messages.success(
            request, _("The invitation goes to %s.") % form.cleaned_data["email"]
        )
        return redirect("people:invitations", demonstration.slug)
    page = selectors.invitations_page(demonstration, now)
    said = {"form": form, "page": page, "site": settings.SITE_ADDRESS}
    return render(request, "people/invitation_list.html", said)


@opens_to(Role.ORGANISER)
@require_POST
def withdraw(request: Request, pk: int) -> HttpResponse:
    """Close an open invitation."""
    invitation = _invitation(request, pk)
    done_or_said(
        request,
        lambda: services.withdraw_invitation(invitation=invitation, now=clock.now()),
        _("It is withdrawn. Its address does not work any more."),
    )
    return redirect("people:invitations", request.standing.demonstration.slug)


@opens_to(Role.ORGANISER)
@require_POST
def claim(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Make the private address for somebody on paper."""
    demonstration = request.standing.demonstration
    rows = Volunteer.objects.managed_by(request.user).of(demonstration)
    person = get_object_or_404(rows.select_related("demonstration"), pk=pk)
    done_or_said(
        request,
        lambda: services.make_claim(volunteer=person, by=request.user, now=clock.now()),
        _("%s has a private address. Print its sheet and hand it over.") % person,
    )
    return redirect("people:invitations", demonstration.slug)


@opens_to(Role.ORGANISER)
@never_cache
@require_safe
def claim_sheet(request: Request, pk: int) -> HttpResponse:
    """Give the sheet with somebody's private address, while it works."""
    now, demonstration = clock.now(), request.standing.demonstration
    rows = Invitation.objects.managed_by(request.user).of(demonstration)
    found = get_object_or_404(rows.open(now).claims().newest_first(), pk=pk)
    pdf = sheets.claim_sheet(
        found,
        demonstration,
        printed_on=clock.today(demonstration.time_zone),
        large_print=request.GET.get("large") == "1",
    )
    return pdf_response(pdf, "own-page")


@opens_to(Role.VISITOR)
@never_cache
@asks_and_takes
def take_up(request: Request, invitation_key: str) -> HttpResponse:
    """Show what an invitation offers; whoever is signed in says yes with one press."""
    rows = Invitation.objects.select_related("demonstration", "volunteer", "made_by")
    found = get_object_or_404(rows, key=invitation_key)
    user, now = request.user, clock.now()
    said = {"invitation": found, "trouble": found.trouble_at(now)}
    if said["trouble"] or not isinstance(user, User):
        return render(request, "people/invitation_take_up.html", said)
    words = agreements_selectors.current_words(found.demonstration, Subject.NOTICE)
    form = _yes_form(request, found, user, words.number)

    def write() -> object:
        answers = form.said() if isinstance(form, TakeUpForm) else {}
        return services.take_up(invitation=found, user=user, now=now, **answers)

    if carried_out(request, form, write):
        messages.success(request, _("You are in. Thank you."))
        return redirect("people:me", found.demonstration.slug)
    shown = said | {"form": form, "words": words}
    return render(request, "people/invitation_take_up.html", shown)


def _yes_form(
    request: Request, invitation: Invitation, user: User, number: int
) -> Form:
    """Ask somebody new who they are; somebody on the list is known."""
    if invitation.volunteer is not None:
        return Form(typed(request))
    return TakeUpForm(
        typed(request),
        invitation=invitation,
        today=clock.today(invitation.demonstration.time_zone),
        initial={"name": user.name, "notice": number},
    )


def _invitation(request: Request, pk: int) -> Invitation:
    rows = Invitation.objects.managed_by(request.user)
    own = rows.of(request.standing.demonstration).select_related("demonstration")
    return get_object_or_404(own, pk=pk)
