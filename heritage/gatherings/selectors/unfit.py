"""Who has or waits for a place that they could not be given today."""

from collections.abc import Iterable
from dataclasses import dataclass

from heritage.gatherings.models import Gathering
from heritage.gatherings.selectors.asks import Known, refusal
from heritage.gatherings.selectors.stations import Place, StationView


@dataclass(frozen=True, slots=True)
class Unfit:
    """A place or turn that stands, though its station would refuse it by now."""

    place: Place
    reason: str

    @property
    def waits(self) -> bool:
        """Whether they wait: a place that comes free goes past them."""
        return self.place.turn is not None


def unfit_places(
    gathering: Gathering, views: Iterable[StationView], known: Known
) -> list[Unfit]:
    """Return the places to look at again: a confirmation ended, a decision changed.

    Nobody is turned out by the site: the lead speaks with them first. Who has a place
    and has yet to hear a briefing is told of elsewhere.
    """
    views = list(views)
    found = [
        (place, refusal(view.station, gathering, place.volunteer, known))
        for view in views
        for place in view.held
    ]
    past = [place for view in views for place in view.waiting]
    return [
        Unfit(place, why.reason)
        for place, why in found
        if why and not why.needs_briefing
    ] + [
        Unfit(place, place.barred.reason)
        for place in past
        if place.barred and not place.barred.may_wait
    ]
