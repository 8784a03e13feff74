"""Times of day as moments where a demonstration is."""

from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _


def local_moment(day: date, clock: time, zone: ZoneInfo) -> datetime:
    """Return the moment, refusing a time the clocks skip or strike twice."""
    moment = datetime.combine(day, clock, zone)
    if moment.utcoffset() == moment.replace(fold=1).utcoffset():
        return moment.astimezone(UTC)
    back = moment.astimezone(UTC).astimezone(zone)
    if back.replace(tzinfo=None) != moment.replace(tzinfo=None):
        raise ValidationError(
            _("The clocks go forward over that time: it does not happen that day.")
        )
    raise ValidationError(
        _("The clocks go back that night, so that time comes twice. Choose another.")
    )
