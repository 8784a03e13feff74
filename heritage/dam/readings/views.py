"""Pages that take a logger's file: looked at first, kept on a second press."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.doors import asks_and_takes, made, sent
from heritage.dam import forms
from heritage.dam.readings import services
from heritage.dam.views import by_its_clock, ret_at
from heritage.people.request import VolunteerRequest


@opens_to(Role.VOLUNTEER)
@asks_and_takes
@by_its_clock
def readings_import(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Take a logger's file and show every row with its verdict; keep nothing."""
    now, found = clock.now(), ret_at(request, pk)
    form = forms.ReadingsFileForm(*sent(request))
    preview = made(
        request,
        form,
        lambda: services.preview_readings(
            ret=found, data=form.cleaned_data["file"], now=now
        ),
    )
    if not preview:
        return render(request, "dam/readings_import.html", {"form": form, "ret": found})
    context = {"ret": found, "preview": preview, "sealed": forms.seal(found, preview)}
    return render(request, "dam/readings_preview.html", context)


@opens_to(Role.VOLUNTEER)
@require_POST
def readings_confirm(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Keep the good rows of a file that was looked at."""
    found = ret_at(request, pk)
    form = forms.ConfirmReadingsForm(request.POST, ret=found)
    kept = made(
        request,
        form,
        lambda: services.import_readings(
            ret=found,
            rows=form.cleaned_data["rows"],
            user=request.user,
            now=clock.now(),
        ),
    )
    slug = request.standing.demonstration.slug
    if not kept:
        for sentences in form.errors.values():
            messages.error(request, str(sentences[0]))
        return redirect("dam:readings_import", slug, found.pk)
    messages.success(request, _imported_words(kept))
    return redirect("dam:ret", slug, found.pk)


def _imported_words(kept: services.Imported) -> str:
    if not kept.added:
        return _("Nothing new: every good row was in the book already.")
    said = ngettext(
        "%d reading is in the book.", "%d readings are in the book.", kept.added
    )
    return said % kept.added
