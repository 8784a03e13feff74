"""What an organiser most likely wants again."""

from heritage.gatherings.models import Station, StationKind
from heritage.safety.models import Briefing
from heritage.season.models import Demonstration


def usual_briefing(demonstration: Demonstration) -> Briefing | None:
    """Return the briefing last asked of pullers, or the first one composed."""
    stations = Station.objects.of(demonstration).of_kind(StationKind.PULL)
    last = stations.select_related("briefing").order_by("-pk").first()
    if last:
        return last.briefing
    return Briefing.objects.of(demonstration).order_by("pk").first()
