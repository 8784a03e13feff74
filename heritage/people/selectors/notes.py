"""How long a note on health and access is kept."""

from datetime import date, datetime, timedelta

from heritage.people.models import Volunteer
from heritage.season.models import Demonstration

# Health notes go 14 days after the event (our own figure; the law names none).
AFTER_GATHERING = timedelta(days=14)
AFTER_SEASON = timedelta(days=30)


def season_ends_on(demonstration: Demonstration) -> date:
    """Return the season's last day: of its stages and gatherings, or of its year."""
    found = Demonstration.objects.last_days(demonstration)
    days = [day for day in (found["planned"], found["finished"]) if day]
    if found["gathered"]:
        days.append(found["gathered"].astimezone(demonstration.zone).date())
    return max(days, default=date(demonstration.year, 12, 31))


def kept_until(*, written_on: date, last: date | None, season_end: date) -> date:
    """Return the day a note is deleted on.

    That is 14 days after the last gathering its person is signed up for; for who is
    signed up for none, 30 days after the season's end. It is never later than that
    day, and never sooner than 14 days after the note was written.
    """
    latest = season_end + AFTER_SEASON
    day = latest if last is None else min(last + AFTER_GATHERING, latest)
    return max(day, written_on + AFTER_GATHERING)


def note_ends_on(volunteer: Volunteer, written_on: date) -> date:
    """Return when a note written on a day is deleted, as things stand: two queries."""
    place = volunteer.demonstration
    last = Volunteer.objects.last_gathering_of(volunteer)
    return kept_until(
        written_on=written_on,
        last=local_day(last, place),
        season_end=season_ends_on(place),
    )


def local_day(moment: datetime | None, demonstration: Demonstration) -> date | None:
    """Return the day of a moment where the demonstration is, if there is one."""
    return moment.astimezone(demonstration.zone).date() if moment else None
