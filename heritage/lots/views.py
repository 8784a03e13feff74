"""Pages of the crop's lots: where everything is, and what was done with it."""

import uuid

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from heritage.common import clock
from heritage.common.access import Role, opens_to, row_or_404
from heritage.common.forms import asks_and_takes, by_local_clock, typed
from heritage.common.sheets import pdf_response
from heritage.lots import forms, selectors, sheets
from heritage.lots.models import Lot, Move, Place
from heritage.people.request import VolunteerRequest

ON_A_PAGE = 15


def lot_at(request: VolunteerRequest, pk: int) -> Lot:
    """Return a lot the reader may see, or answer 404."""
    return row_or_404(Lot.objects.visible_to(request.user).with_its_pull(), request, pk)


def led_lot(request: VolunteerRequest, pk: int) -> Lot:
    """Return a lot that the reader may move, as a lead or organiser here, or 404."""
    return row_or_404(Lot.objects.led_by(request.user).with_its_pull(), request, pk)


def place_asked(request: VolunteerRequest, places: list[Place]) -> Place:
    """Return the place in the address, or the first there is; 404 without one.

    What is sent goes by the place that its page showed, whatever has left it since.
    """
    asked = request.GET.get("from", "")
    if request.method == "POST" and asked in Place.values:
        return Place(asked)
    if asked:
        places = [place for place in places if place == asked]
    if not places:
        raise Http404
    return places[0]


@opens_to(Role.VOLUNTEER)
@require_safe
@by_local_clock
def crop(request: VolunteerRequest) -> HttpResponse:
    """Show where all of the crop is now, in all and lot by lot."""
    here = request.standing.demonstration
    page = selectors.crop_page(here)
    shown = Paginator(page.lots, ON_A_PAGE).get_page(request.GET.get("page"))
    context = {
        "page": page,
        "page_obj": shown,
        "may_write": selectors.may_write(request.user, here),
    }
    return render(request, "lots/crop.html", context)


@opens_to(Role.VOLUNTEER)
@require_safe
@by_local_clock
def lot(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show one lot: where it is, what was done with it, what it came from."""
    page = selectors.lot_page(lot_at(request, pk))
    may_write = selectors.may_write(request.user, page.lot.demonstration)
    context = {"page": page, "lot": page.lot, "may_write": may_write}
    return render(request, "lots/lot.html", context)


@opens_to(Role.VOLUNTEER)
@require_safe
def labels(request: VolunteerRequest) -> HttpResponse:
    """Print a label for each lot of which there is something."""
    here = request.standing.demonstration
    lots = selectors.lots_at_hand(here)
    today = clock.today(here.time_zone)
    return pdf_response(sheets.label_sheet(lots, here, printed_on=today), "labels")


@opens_to(Role.VOLUNTEER)
@require_safe
def lot_labels(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Print a whole sheet of labels for one lot."""
    lot, here = lot_at(request, pk), request.standing.demonstration
    lots, today = [lot] * sheets.A_SHEET, clock.today(here.time_zone)
    return pdf_response(sheets.label_sheet(lots, here, printed_on=today), "labels")


@opens_to(Role.LEAD)
@asks_and_takes
@by_local_clock
def move(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Write down that some of a lot went somewhere else."""
    now, lot = clock.now(), led_lot(request, pk)
    line = selectors.lot_line(lot)
    places = [here.place for here in (*line.to_move, *line.at_hand)]
    source = place_asked(request, [*places, Place.LOST])
    form = forms.MoveForm(
        typed(request),
        line=line,
        source=source,
        there=line.at(source),
        initial={"at": now},
    )
    if form.submit(by=request.user, now=now):
        messages.success(request, _("Moved."))
        return redirect(lot)
    form.ask_only_if_asked()
    others = [here for here in line.at_hand if here.place != source]
    context = {"form": form, "lot": lot, "line": line, "source": source}
    return render(request, "lots/move.html", context | {"others": others})


@opens_to(Role.LEAD)
@asks_and_takes
@by_local_clock
def part(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Make a lot of its own of a part of one."""
    now, lot = clock.now(), led_lot(request, pk)
    line = selectors.lot_line(lot)
    place = place_asked(request, [here.place for here in line.at_hand])
    form = forms.PartForm(
        typed(request),
        there=line.lot_at(place),
        initial={"at": now, "key": uuid.uuid4()},
    )
    if form.submit(place=place, by=request.user, now=now):
        messages.success(request, _("%s is a new lot now.") % form.saved)
        return redirect(form.saved)
    context = {"form": form, "lot": lot, "place": place}
    return render(request, "lots/part.html", context)


@opens_to(Role.LEAD)
@asks_and_takes
@by_local_clock
def together(request: VolunteerRequest) -> HttpResponse:
    """Put some lots together that are in one place."""
    now, here = clock.now(), request.standing.demonstration
    if not selectors.may_write(request.user, here):
        raise Http404
    places = selectors.places_of_several(here)
    place = place_asked(request, places) if places else None
    there = selectors.lots_at(here, place) if place else []
    initial = {"at": now, "key": uuid.uuid4()}
    form = forms.TogetherForm(typed(request), there=there, initial=initial)
    if place and form.submit(place=place, by=request.user, now=now):
        messages.success(request, _("They are %s now.") % form.saved)
        return redirect(form.saved)
    context = {"form": form, "place": place, "places": places}
    return render(request, "lots/together.html", context)


@opens_to(Role.LEAD)
@asks_and_takes
@by_local_clock
def correct(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Take a move back, with the reason."""
    rows = Move.objects.led_by(request.user).for_page()
    move = row_or_404(rows, request, pk)
    form = forms.CorrectForm(typed(request))
    if form.submit(move=move, by=request.user, now=clock.now()):
        messages.success(request, _("Corrected. Both are kept."))
        return redirect(move.lot)
    line = selectors.move_line(move, move.lot)
    return render(
        request, "lots/correct.html", {"form": form, "move": move, "line": line}
    )


@opens_to(Role.LEAD)
@asks_and_takes
@by_local_clock
def settle(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Count in what was moved of a lot and the tally has not."""
    lot = led_lot(request, pk)
    line = selectors.lot_line(lot)
    form = forms.SettleForm(typed(request))
    if form.submit(lot=lot, by=request.user, now=clock.now()):
        messages.success(request, _("Settled."))
        return redirect(lot)
    if not line.short and request.method != "POST":
        return redirect(lot)
    return render(request, "lots/settle.html", {"form": form, "lot": lot, "line": line})


@opens_to(Role.ORGANISER)
@asks_and_takes
def seed(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Choose what is done with the seed of a lot."""
    lot = lot_at(request, pk)
    form = forms.RippledForm(typed(request), initial={"rippled": lot.rippled})
    if form.submit(lot=lot):
        messages.success(request, _("Saved."))
        return redirect(lot)
    return render(request, "lots/seed.html", {"form": form, "lot": lot})
