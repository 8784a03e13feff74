"""Many pictures at once, and their captions one after the other."""

import json
import re

from django.contrib import messages
from django.http import Http404, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from heritage.common import clock
from heritage.common.access import Role, opens_to
from heritage.common.forms import asks_and_takes, sent, typed
from heritage.gatherings.models import Gathering
from heritage.people.request import VolunteerRequest
from heritage.pictures.many import selectors
from heritage.pictures.many.forms import MOST, CaptionForm, ManyForm
from heritage.pictures.many.services import Came, Outcome
from heritage.pictures.models import Licence, Picture, Shown
from heritage.pictures.services import Way, move
from heritage.season.models import Stage

HASH = re.compile(r"[0-9a-f]{64}")
CAPTION = re.compile(r"picture-([0-9]{1,12})-caption$")


@opens_to(Role.VOLUNTEER)
@never_cache
@asks_and_takes
def add_many(request: VolunteerRequest) -> HttpResponse:
    """Add many pictures; a script sends them one by one and asks for JSON."""
    here = request.standing.demonstration
    form = ManyForm(
        *sent(request), here=here, reader=request.user, initial=_usual(request)
    )
    by_script = request.headers.get("Accept") == "application/json"
    if form.submit(by=request.user, now=clock.now()):
        if by_script:
            return JsonResponse({"came": form.saved[0].came, "why": form.saved[0].why})
        _say(request, form.saved)
        return redirect("pictures:captions", here.slug)
    if by_script and request.method == "POST":
        words = [str(word) for errors in form.errors.values() for word in errors]
        return JsonResponse({"came": Came.REFUSED, "why": " ".join(words)})
    return render(request, "pictures/add_many.html", {"form": form, "most": MOST})


@opens_to(Role.VOLUNTEER)
@require_POST
def known(request: VolunteerRequest) -> HttpResponse:
    """Say which of some files are in the record, by their SHA-256."""
    try:
        asked = json.loads(request.body)
        marks = [mark for mark in asked[:MOST] if HASH.fullmatch(mark)]
    except (ValueError, TypeError, KeyError):
        return JsonResponse({"known": []}, status=400)
    rows = Picture.objects.of(request.standing.demonstration).same_files(marks)
    return JsonResponse({"known": sorted(rows.values_list("sha256", flat=True))})


@opens_to(Role.VOLUNTEER)
@never_cache
@asks_and_takes
def captions(request: VolunteerRequest) -> HttpResponse:
    """Ask the words of the next pictures that lack them; save what is typed."""
    here = request.standing.demonstration
    typed_for = {int(key[1]) for key in map(CAPTION.match, request.POST) if key}
    page = selectors.captions(here, request.user, typed_for)
    forms = [
        CaptionForm(typed(request), instance=one, prefix=f"picture-{one.pk}")
        for one in page.pictures
    ]
    if request.method == "POST":
        touched = [form for form in forms if form.has_changed()]
        now = clock.now()
        # Each is saved for itself: a fault in one keeps no other from it.
        done = [form.submit(by=request.user, now=now) for form in touched]
        if all(done):
            messages.success(request, _said(len(touched)))
            return redirect(request.path)
    context = {"page": page, "forms": forms}
    return render(request, "pictures/captions.html", context)


@opens_to(Role.ORGANISER)
@never_cache
@asks_and_takes
def order(request: VolunteerRequest, stage: str) -> HttpResponse:
    """Move the pictures of a stage up and down; the first stands for it."""
    here = request.standing.demonstration
    if stage not in Stage.values:
        raise Http404
    pk, _sign, way = request.POST.get("move", "").partition(":")
    moved = Picture.objects.of(here).filter(pk=pk).first() if pk.isdecimal() else None
    if moved and way in Way.__members__.values():
        move(picture=moved, way=Way(way))
        return redirect(f"{request.path}?picture={moved.pk}#picture-{moved.pk}")
    page, near = request.GET.get("page", ""), request.GET.get("picture", "")
    shown = selectors.to_order(here, Stage(stage), page, near)
    context = {"stage": Stage(stage), "page": shown}
    return render(request, "pictures/order.html", context)


def _usual(request: VolunteerRequest) -> dict[str, object]:
    """Return the answers that are likely: the evening just over, and the asker."""
    rows = Gathering.objects.visible_to(request.user).of(request.standing.demonstration)
    asked = request.GET.get("gathering", "")
    begun = rows.starting_by(clock.now()).order_by("-starts_at", "-pk")
    last = rows.filter(pk=asked).first() if asked.isdigit() else begun.first()
    return {
        "gathering": last,
        "stage": last.stage if last else Stage.PULLING,
        "credit": request.user.name,
        "licence": Licence.RESERVED,
        "shown": Shown.UNASKED,
    }


def _say(request: VolunteerRequest, outcomes: list[Outcome]) -> None:
    """Say how many were added, and of each that was not, why."""
    added = sum(one.came == Came.ADDED for one in outcomes)
    there = sum(one.came == Came.THERE for one in outcomes)
    if added:
        words = ngettext("%d picture added.", "%d pictures added.", added)
        messages.success(request, words % added)
    if there:
        words = ngettext("%d was there already.", "%d were there already.", there)
        messages.info(request, words % there)
    for one in outcomes:
        if one.came == Came.REFUSED:
            messages.error(request, f"{one.name}: {one.why}")


def _said(count: int) -> str:
    if not count:
        return _("Nothing was typed. They wait here.")
    return ngettext("%d caption saved.", "%d captions saved.", count) % count
