"""Ground cleared, as the lead measured it."""

from datetime import datetime
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.gatherings.models import Gathering
from heritage.people.models import User
from heritage.season.models import Plot
from heritage.tally.models import PulledArea, newest_measures
from heritage.tally.services.rules import (
    hold,
    require_open,
    require_same_demonstration,
)

# A plot paced out twice does not come out alike: so much more is let through.
SLACK = Decimal("1.1")


@transaction.atomic
def measure_ground(
    *, gathering: Gathering, plot: Plot, area_m2: Decimal, by: User, now: datetime
) -> PulledArea:
    """Write down how much of a plot a gathering cleared; the newest measure holds.

    Raises
    ------
    ValidationError
        If it is below nothing, or with the other evenings' more than the plot has,
        or the gathering has not begun, or the plot is of another field.
    """
    hold(gathering)
    require_open(gathering, now)
    require_same_demonstration(gathering, None, plot)
    rows = newest_measures(plot.pulled_areas.all().in_order()).values()
    before = sum(
        (row.area_m2 for row in rows if row.gathering_id != gathering.pk), Decimal(0)
    )
    if before + area_m2 > plot.area_m2 * SLACK:
        words = _(
            "%(plot)s has %(area)s m², and other evenings cleared %(before)s m² of it. "
            "Measure again, or put the earlier evening right."
        )
        said = {"plot": plot, "area": plot.area_m2, "before": before}
        raise ValidationError({"area": words % said})
    measure = PulledArea(
        gathering=gathering,
        plot=plot,
        area_m2=area_m2,
        entered_at=now,
        entered_by=by,
    )
    measure.full_clean()
    measure.save()
    return measure
