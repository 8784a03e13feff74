"""Where else somebody would work."""

from collections.abc import Collection
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.gatherings.models import Gathering, SignUp, Station
from heritage.gatherings.selectors import known_of, refusal
from heritage.gatherings.services.locking import hold, require_answerable, require_open
from heritage.people.models import User


@transaction.atomic
def wish(
    *, sign_up: SignUp, also: Collection[Station], by: User, now: datetime
) -> SignUp:
    """Say where else somebody would work, in the place of what was said before."""
    gathering = hold(sign_up.gathering)
    require_open(gathering, now)
    rows = gathering.sign_ups.live().select_related("volunteer", "station")
    entry = rows.filter(pk=sign_up.pk).first()
    if entry is None:
        raise ValidationError(_("The place was given back. Ask for one again first."))
    require_answerable(gathering, entry.volunteer, by)
    write_wishes(gathering, entry, also)
    return entry


def write_wishes(
    gathering: Gathering, entry: SignUp, also: Collection[Station]
) -> None:
    """Keep what somebody may wish for; the gathering is held.

    Too young is refused. What they can still mend, a briefing to hear or something
    to be confirmed, is no hindrance to saying that they would.
    """
    others = [station for station in also if station.pk != entry.station_id]
    if any(station.gathering_id != gathering.pk for station in others):
        raise ValidationError(_("That station belongs to another gathering."))
    known = known_of([entry.volunteer], gathering, others)
    for station in others:
        found = refusal(station, gathering, entry.volunteer, known)
        if found and found.code == "age":
            raise ValidationError({"also": found.reason})
    entry.also.set(others)
