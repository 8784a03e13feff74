"""A volunteer's own places: held, waited for, to be answered."""

from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _

from heritage.gatherings.models import SignUp, SignUpStatus
from heritage.people.models import Volunteer


@dataclass(frozen=True, slots=True)
class MyPlace:
    """One place or turn of somebody the reader answers for."""

    sign_up: SignUp
    is_self: bool

    @property
    def turn(self) -> int | None:
        """Which they are in the queue, if they wait."""
        waits = self.sign_up.status == SignUpStatus.WAITING
        return self.sign_up.ahead + 1 if waits else None

    @property
    def words(self) -> str:
        """Say how they stand there."""
        if self.turn:
            return _("%s in the queue") % ordinal(self.turn)
        if self.sign_up.answer_by:
            return _("answer, please")
        return _("place kept")


def my_places(volunteer: Volunteer, now: datetime) -> list[MyPlace]:
    """Return the places and turns to come of a volunteer's household: one query."""
    rows = SignUp.objects.of(volunteer.demonstration).answered_for_by(volunteer)
    rows = rows.coming_up(now).with_turns()
    places = rows.select_related("station", "volunteer", "gathering__demonstration")
    return [MyPlace(row, row.volunteer_id == volunteer.pk) for row in places]


def ordinal(number: int) -> str:
    """Write a number as a rank: 1st, 2nd, 3rd, 11th."""
    if number % 100 in (11, 12, 13):
        return f"{number}th"
    ending = {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{ending}"
