"""The archive of a season, for its organiser."""

from django.contrib import messages
from django.http import FileResponse, Http404, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from heritage.archive import selectors, services
from heritage.archive.models import Archive
from heritage.common import clock
from heritage.common.access import Role, opens_to, row_or_404
from heritage.people.request import VolunteerRequest


@opens_to(Role.ORGANISER)
@never_cache
@require_safe
def page(request: VolunteerRequest) -> HttpResponse:
    """Say when the archive was last made, and whether it is still whole."""
    home, now = request.standing.demonstration, clock.now()
    shown = selectors.archive_page(home, request.user, now)
    return render(request, "archive/archive.html", {"page": shown})


@opens_to(Role.ORGANISER)
@require_POST
def make(request: VolunteerRequest) -> HttpResponse:
    """Ask for an archive of the season as it is now."""
    here = request.standing.demonstration
    services.ask(demonstration=here, by=request.user, now=clock.now())
    return redirect("archive:page", here.slug)


@opens_to(Role.ORGANISER)
@require_POST
def check(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Have an archive read through again."""
    archive = services.ask_to_read_through(archive=_made(request, pk))
    messages.success(request, _("Checking the archive. It may take a while."))
    return redirect(archive)


@opens_to(Role.ORGANISER)
@never_cache
@require_safe
def file(request: VolunteerRequest, pk: int) -> HttpResponseBase:
    """Send an archive's file, to be saved."""
    archive = _made(request, pk)
    day = archive.asked_at.astimezone(archive.demonstration.zone)
    try:
        stored = archive.file.open("rb")
    except FileNotFoundError as error:
        raise Http404 from error
    return FileResponse(
        stored,
        as_attachment=True,
        filename=f"{archive.demonstration.slug}-{day:%Y-%m-%d}.zip",
        content_type="application/zip",
    )


def _made(request: VolunteerRequest, pk: int) -> Archive:
    rows = Archive.objects.visible_to(request.user).made()
    return row_or_404(rows.select_related("demonstration"), request, pk)
