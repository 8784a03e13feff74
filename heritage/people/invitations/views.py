"""Invitations: the organiser's pages, and the page of the person invited."""

from django.conf import settings
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to, row_or_404
from heritage.common.forms import asks_and_takes, refusals_shown, typed
from heritage.common.sheets import pdf_response
from heritage.people.agreements.selectors import Words, current_words
from heritage.people.invitations import selectors, services, sheets
from heritage.people.invitations.forms import ClaimForm, InviteForm, TakeUpForm
from heritage.people.models import Invitation, Subject, User, Volunteer
from heritage.people.request import Request, VolunteerRequest


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def invitations(request: VolunteerRequest) -> HttpResponse:
    """List the invitations, and send one."""
    here, now = request.standing.demonstration, clock.now()
    form = InviteForm(typed(request), instance=Invitation(demonstration=here))
    if form.submit(by=request.user, now=now):
        words = _("The invitation goes to %s.") % form.saved.email
        messages.success(request, words)
        return redirect("people:invitations", here.slug)
    context = {
        "form": form,
        "page": selectors.invitations_page(here, now),
        "site": settings.SITE_ADDRESS,
    }
    return render(request, "people/invitation_list.html", context)


@opens_to(Role.ORGANISER)
@require_POST
def withdraw(request: Request, pk: int) -> HttpResponse:
    """Close an open invitation."""
    rows = Invitation.objects.managed_by(request.user).select_related("demonstration")
    invitation = row_or_404(rows, request, pk)
    with refusals_shown(request):
        services.withdraw_invitation(invitation=invitation, now=clock.now())
        words = _("It is withdrawn. Its address does not work any more.")
        messages.success(request, words)
    return redirect("people:invitations", request.standing.demonstration.slug)


@opens_to(Role.ORGANISER)
@require_POST
def claim(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Make the private address for somebody on paper."""
    rows = Volunteer.objects.managed_by(request.user).select_related("demonstration")
    person = row_or_404(rows, request, pk)
    with refusals_shown(request):
        services.make_claim(volunteer=person, by=request.user, now=clock.now())
        words = _("%s has a private link. Print its sheet and hand it over.")
        messages.success(request, words % person)
    return redirect("people:invitations", request.standing.demonstration.slug)


@opens_to(Role.ORGANISER)
@never_cache
@require_safe
def claim_sheet(request: Request, pk: int) -> HttpResponse:
    """Give the sheet with somebody's private address, while it works."""
    now, demonstration = clock.now(), request.standing.demonstration
    rows = Invitation.objects.managed_by(request.user).open(now).claims()
    pdf = sheets.claim_sheet(
        row_or_404(rows.newest_first(), request, pk),
        demonstration,
        printed_on=clock.today(demonstration.time_zone),
        large_print=request.GET.get("large") == "1",
    )
    return pdf_response(pdf, "own-page")


@opens_to(Role.VISITOR)
@never_cache
@asks_and_takes
def take_up(request: Request, invitation_key: str) -> HttpResponse:
    """Show what an invitation offers; somebody signed in says yes with one press."""
    rows = Invitation.objects.select_related("demonstration", "volunteer", "made_by")
    invitation = get_object_or_404(rows, key=invitation_key)
    user, now = request.user, clock.now()
    trouble = invitation.trouble_at(now)
    context = {"invitation": invitation, "trouble": trouble}
    if not trouble and isinstance(user, User):
        here = invitation.demonstration
        words = current_words(here, Subject.NOTICE)
        form = _yes_form(request, invitation, user, words)
        if form.submit(by=user, now=now):
            messages.success(request, _("You are in. Thank you."))
            known = invitation.volunteer or invitation.as_organiser
            return redirect("people:me" if known else "gatherings:next", here.slug)
        context |= {"form": form, "words": words}
    return render(request, "people/invitation_take_up.html", context)


def _yes_form(
    request: Request, invitation: Invitation, user: User, words: Words
) -> TakeUpForm | ClaimForm:
    """Ask somebody new who they are; somebody on the list is known."""
    if invitation.volunteer is not None:
        return ClaimForm(typed(request), invitation=invitation)
    here = invitation.demonstration
    return TakeUpForm(
        typed(request),
        invitation=invitation,
        instance=Volunteer(demonstration=here, name=user.name),
        today=clock.today(here.time_zone),
        initial={"notice": words.number},
    )
