"""The show's next evening: somebody to answer, somebody who waits, and wishes.

What a lead has to look at before an evening goes in through the site's services, as
its volunteers would have brought it about.
"""

from datetime import datetime, timedelta

from heritage.gatherings.models import Gathering, SignUp, Station
from heritage.gatherings.places import services as places
from heritage.people.models import User, Volunteer

MINUTES = timedelta(minutes=1)


def fill_the_next(
    gathering: Gathering,
    *,
    crew: list[Volunteer],
    asked: Volunteer,
    by: User,
    now: datetime,
) -> None:
    """Let the smallest station fill up, and one of it give the place back.

    ``asked`` had the first turn, moves up, and has yet to say that they come. Behind
    them somebody waits who would as soon work where hands are missing; so would one
    of another full station.
    """
    wide, tie, small = gathering.stations.in_order()[:3]
    _make_free(gathering, asked, by, now - 300 * MINUTES)
    busy = set(gathering.sign_ups.live().values_list("volunteer", flat=True))
    spare = [one for one in crew if one.pk not in busy and one != asked]
    while small.sign_ups.held().count() < small.places:
        _sign_up(small, spare.pop(), by, now - 240 * MINUTES)
    first = small.sign_ups.held().for_page()[0]
    _sign_up(small, asked, by, now - 180 * MINUTES)
    behind = _sign_up(small, spare.pop(), by, now - 170 * MINUTES)
    places.wish(sign_up=behind, also=[wide], by=by, now=now - 160 * MINUTES)
    for entry in tie.sign_ups.held().for_page()[:1]:
        places.wish(sign_up=entry, also=[wide], by=by, now=now - 150 * MINUTES)
    places.give_up(sign_up=first, by=by, now=now - 40 * MINUTES)


def _make_free(
    gathering: Gathering, person: Volunteer, by: User, now: datetime
) -> None:
    for entry in gathering.sign_ups.live().by(person):
        places.give_up(sign_up=entry, by=by, now=now)


def _sign_up(station: Station, person: Volunteer, by: User, now: datetime) -> SignUp:
    return places.sign_up(station=station, volunteer=person, by=by, now=now)
