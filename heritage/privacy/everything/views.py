"""Everything of one demonstration in one file, for its organiser."""

from django.http import FileResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.views.decorators.cache import never_cache

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.forms import asks_and_takes, typed
from heritage.people.request import VolunteerRequest
from heritage.privacy.everything import selectors
from heritage.privacy.forms import EverythingForm
from heritage.privacy.held import sheets


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def everything(request: VolunteerRequest) -> HttpResponseBase:
    """Ask what goes in, then send the archive."""
    demonstration, form = request.standing.demonstration, EverythingForm(typed(request))
    if not form.is_valid():
        return render(request, "privacy/everything.html", {"form": form})
    archive = sheets.everything(
        selectors.tables(demonstration, **form.cleaned_data),
        demonstration,
        clock.now().astimezone(demonstration.zone),
    )
    return FileResponse(
        archive,
        as_attachment=True,
        filename=f"{demonstration.slug}.zip",
        content_type="application/zip",
    )
