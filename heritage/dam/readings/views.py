"""Pages of the readings: typed, corrected, struck, or out of a logger's file.

A file is looked at first and kept on a second press; a long one says how far it is.
"""

from collections.abc import Iterator
from datetime import datetime
from urllib.parse import urlencode

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse, HttpResponseBase, StreamingHttpResponse
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.html import format_html
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST

from heritage.common import clock
from heritage.common.access import Role, opens_to, row_or_404
from heritage.common.forms import (
    asks_and_takes,
    by_local_clock,
    refusals_shown,
    safe_next,
    sent,
    typed,
)
from heritage.dam.models import Reading, Ret
from heritage.dam.readings import forms, services
from heritage.dam.rota.selectors import may_correct, may_tick
from heritage.dam.views import ret_at
from heritage.people.request import VolunteerRequest

# Where a page is cut for what is told while readings are kept.
CUT = "<!-- told here -->"


@opens_to(Role.VOLUNTEER)
@asks_and_takes
@by_local_clock
def reading_add(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Write down one reading of the water, and go back to where it was asked.

    A page that holds the form in place sends the degrees alone: they are of now.
    """
    now, ret = clock.now(), ret_at(request, pk)
    data = typed(request)
    if data is not None and "at" not in data:
        data = data.copy()
        data["at"] = timezone.localtime(now).strftime("%Y-%m-%dT%H:%M:%S")
    form = forms.ReadingForm(data, instance=Reading(ret=ret), initial={"at": now})
    if form.submit(by=request.user, now=now):
        messages.success(request, _("%s °C is saved.") % form.saved.temp_c)
        return redirect(safe_next(request, ret.get_absolute_url()))
    form.ask_only_if_asked()
    back = safe_next(request, "")
    action = f"?{urlencode({'next': back})}" if back else ""
    context = {"form": form, "ret": ret, "action": action}
    return render(request, "dam/reading_form.html", context)


@opens_to(Role.VOLUNTEER)
@asks_and_takes
@by_local_clock
def reading_correct(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Correct a reading: the wrong one is struck and kept."""
    reading = _reading_at(request, pk)
    form = forms.ReadingForm(typed(request), instance=reading)
    if form.submit(by=request.user, now=clock.now()):
        words = _("%(new)s °C now stands for %(old)s °C.")
        temps = {"new": form.saved.temp_c, "old": reading.temp_c}
        messages.success(request, words % temps)
        return redirect(reading.ret)
    form.ask_only_if_asked()
    context = {
        "form": form,
        "strike": forms.StrikeForm(),
        "ret": reading.ret,
        "reading": reading,
        "may": may_correct(reading, request.user),
    }
    return render(request, "dam/reading_form.html", context)


@opens_to(Role.VOLUNTEER)
@require_POST
def reading_strike(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Strike a reading with none in its place."""
    reading = _reading_at(request, pk)
    form = forms.StrikeForm(request.POST)
    if form.submit(reading=reading, by=request.user, now=clock.now()):
        words = _("%s °C no longer counts. It is kept, struck through.")
        messages.success(request, words % reading.temp_c)
        return redirect(reading.ret)
    for sentences in form.errors.values():
        messages.error(request, str(sentences[0]))
    return redirect("dam:reading_correct", request.standing.demonstration.slug, pk)


def _reading_at(request: VolunteerRequest, pk: int) -> Reading:
    rows = Reading.objects.visible_to(request.user)
    return row_or_404(rows.select_related("ret__dam__demonstration"), request, pk)


@opens_to(Role.VOLUNTEER)
@asks_and_takes
@by_local_clock
def readings_import(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Take a logger's file, or read it otherwise, and show what is in it."""
    now, ret = clock.now(), ret_at(request, pk)
    if "held" in request.POST:
        again = forms.LookForm(request.POST, ret=ret)
        if again.submit(now=now):
            return _shown(request, ret, again.saved)
        _say_errors(request, again)
        return redirect("dam:readings_import", ret.dam.demonstration.slug, ret.pk)
    form = forms.ReadingsFileForm(*sent(request))
    if form.submit(ret=ret, now=now):
        return _shown(request, ret, form.saved)
    return render(request, "dam/readings_import.html", {"form": form, "ret": ret})


@opens_to(Role.VOLUNTEER)
@require_POST
@by_local_clock
def readings_confirm(request: VolunteerRequest, pk: int) -> HttpResponseBase:
    """Keep the good rows of a file that was looked at, as they were shown."""
    now, ret = clock.now(), ret_at(request, pk)
    form = forms.LookForm(request.POST, ret=ret)
    if not form.submit(now=now):
        _say_errors(request, form)
        return redirect("dam:readings_import", ret.dam.demonstration.slug, ret.pk)
    looked: forms.Looked = form.saved
    if not form.is_as_seen:
        words = _("You changed how the file is read. Please check it, then save it.")
        messages.info(request, words)
        return _shown(request, ret, looked)
    rows = looked.preview.rows
    rows += looked.preview.doubtful_rows if form.cleaned_data["doubtful"] else []
    return _kept(request, ret, services.Wanted(rows, looked.look.same), now)


def _shown(request: VolunteerRequest, ret: Ret, looked: forms.Looked) -> HttpResponse:
    """Show what is in a file, and ask what it does not say."""
    may_replace = may_tick(request.user, ret.dam.demonstration)
    context = {
        "ret": ret,
        "preview": looked.preview,
        "form": forms.look_form(ret, looked, may_replace=may_replace),
    }
    return render(request, "dam/readings_preview.html", context)


def _kept(
    request: VolunteerRequest, ret: Ret, wanted: services.Wanted, now: datetime
) -> HttpResponseBase:
    """Keep readings at once, or step by step on a page that says how far it is."""
    if len(wanted.rows) > services.STEP:
        page = render_to_string("dam/readings_keeping.html", {"ret": ret}, request)
        steps = services.import_in_steps(
            ret=ret, wanted=wanted, by=request.user, now=now
        )
        return StreamingHttpResponse(_told(page, steps, len(wanted.rows)))
    with refusals_shown(request):
        done = services.import_readings(
            ret=ret, wanted=wanted, by=request.user, now=now
        )
        messages.success(request, _imported_words(done))
    return redirect(ret)


def _told(page: str, steps: Iterator[int], of: int) -> Iterator[str]:
    """Send a page piece by piece: its head, a line for each step, what came of it."""
    head, _cut, tail = page.partition(CUT)
    yield head
    words = _("%(kept)s of %(of)s saved")
    try:
        while True:
            numbers = {"kept": f"{next(steps):,}", "of": f"{of:,}"}
            yield format_html("<li>{}</li>", words % numbers)
    except StopIteration as end:
        yield format_html("<li><strong>{}</strong></li>", _imported_words(end.value))
    except ValidationError as error:
        none = _("Nothing was saved.")
        yield format_html("<li><strong>{} {}</strong></li>", error.messages[0], none)
    yield tail


def _imported_words(imported: services.Imported) -> str:
    if not imported.added:
        return _("Nothing new: all of it was saved before.")
    words = ngettext("%s reading is saved.", "%s readings are saved.", imported.added)
    return words % f"{imported.added:,}"


def _say_errors(request: VolunteerRequest, form: forms.LookForm) -> None:
    for sentences in form.errors.values():
        messages.error(request, str(sentences[0]))
