"""Pages of the crop's lots: where everything is, and what was done with it."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from heritage.common.access import Role, opens_to, row_or_404
from heritage.common.forms import by_local_clock
from heritage.lots import selectors
from heritage.lots.models import Lot
from heritage.people.request import VolunteerRequest


def lot_at(request: VolunteerRequest, pk: int) -> Lot:
    """Return a lot the reader may see, or answer 404."""
    return row_or_404(Lot.objects.visible_to(request.user).with_its_pull(), request, pk)


@opens_to(Role.VOLUNTEER)
@require_safe
@by_local_clock
def crop(request: VolunteerRequest) -> HttpResponse:
    """Show where all of the crop is now, in all and lot by lot."""
    page = selectors.crop_page(request.standing.demonstration)
    return render(request, "lots/crop.html", {"page": page})


@opens_to(Role.VOLUNTEER)
@require_safe
@by_local_clock
def lot(request: VolunteerRequest, pk: int) -> HttpResponse:
    """Show one lot: where it is, what was done with it, what it came from."""
    page = selectors.lot_page(lot_at(request, pk))
    return render(request, "lots/lot.html", {"page": page, "lot": page.lot})
