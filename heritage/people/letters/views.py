"""The organiser's letter book."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to, row_or_404
from heritage.common.forms import refusals_shown, safe_next
from heritage.people.letters import selectors, services
from heritage.people.models import AccountLetter, Letter, LetterState
from heritage.people.request import VolunteerRequest


@opens_to(Role.ORGANISER)
@never_cache
@require_safe
def letters(request: VolunteerRequest) -> HttpResponse:
    """Show every letter, or those that somebody has to look at."""
    page = selectors.letters_page(
        request.standing.demonstration,
        clock.now(),
        only_trouble=request.GET.get("show") == "trouble",
        number=request.GET.get("page", ""),
    )
    return render(request, "people/letter_list.html", {"page": page})


@opens_to(Role.ORGANISER)
@never_cache
@require_safe
def letter(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show one letter: its words, where it stands, and what can be done."""
    line = selectors.letter_line(_letter(request, pk), clock.now())
    return render(request, "people/letter.html", {"line": line})


@opens_to(Role.ORGANISER)
@require_POST
def send_again(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Send a letter once more, because somebody asks for it."""
    row = _letter(request, pk)
    with refusals_shown(request):
        services.send_again(letter=row, by=request.user, now=clock.now())
        row.refresh_from_db()
        is_sent = row.state == LetterState.SENT
        words = _("Sent.") if is_sent else _("It is on its way again.")
        messages.success(request, words)
    return redirect("people:letter", request.standing.demonstration.slug, pk)


@opens_to(Role.ORGANISER)
@require_POST
def told(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Write down that somebody was told in another way."""
    row = _letter(request, pk)
    with refusals_shown(request):
        services.note_told(letter=row, by=request.user, now=clock.now())
        messages.success(request, _("Saved: they've been told."))
    return redirect(safe_next(request, _book(request)))


@opens_to(Role.ORGANISER)
@require_POST
def account_told(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Write down that somebody knows what was not brought about their account."""
    here = request.standing.demonstration
    row = get_object_or_404(AccountLetter.objects.to_members_of(here), pk=pk)
    with refusals_shown(request):
        services.note_account_told(letter=row, by=request.user, now=clock.now())
        messages.success(request, _("Saved: they know."))
    return redirect(_book(request))


def _book(request: VolunteerRequest) -> str:
    return reverse("people:letters", args=[request.standing.demonstration.slug])


def _letter(request: VolunteerRequest, pk: int) -> Letter:
    rows = Letter.objects.managed_by(request.user).with_reader()
    return row_or_404(rows, request, pk)
