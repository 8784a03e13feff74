"""Pages that take a logger's file: looked at first, kept on a second press."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.forms import asks_and_takes, by_local_clock, sent
from heritage.dam import forms
from heritage.dam.readings.services import Imported
from heritage.dam.views import ret_at
from heritage.people.request import VolunteerRequest


@opens_to(Role.VOLUNTEER)
@asks_and_takes
@by_local_clock
def readings_import(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Take a logger's file and show every row with its verdict; keep nothing."""
    ret = ret_at(request, pk)
    form = forms.ReadingsFileForm(*sent(request))
    if not form.submit(ret=ret, now=clock.now()):
        return render(request, "dam/readings_import.html", {"form": form, "ret": ret})
    context = {
        "ret": ret,
        "preview": form.saved,
        "sealed": forms.seal(ret, form.saved),
    }
    return render(request, "dam/readings_preview.html", context)


@opens_to(Role.VOLUNTEER)
@require_POST
def readings_confirm(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Keep the good rows of a file that was looked at."""
    ret = ret_at(request, pk)
    form = forms.ConfirmReadingsForm(request.POST, ret=ret)
    if form.submit(by=request.user, now=clock.now()):
        messages.success(request, _imported_words(form.saved))
        return redirect(ret)
    for sentences in form.errors.values():
        messages.error(request, str(sentences[0]))
    return redirect("dam:readings_import", request.standing.demonstration.slug, ret.pk)


def _imported_words(imported: Imported) -> str:
    if not imported.added:
        return _("Nothing new: every good row was in the book already.")
    words = ngettext(
        "%d reading is in the book.", "%d readings are in the book.", imported.added
    )
    return words % imported.added
