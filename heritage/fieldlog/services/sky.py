"""The wait after thunder."""

from datetime import datetime

from django.db import transaction

from heritage.fieldlog.models import Thunder
from heritage.gatherings.models import Gathering
from heritage.people.models import User


@transaction.atomic
def hear_thunder(*, gathering: Gathering, by: User, at: datetime) -> Thunder:
    """Write down that thunder was heard: the wait of thirty minutes starts anew."""
    row = Thunder(gathering=gathering, at=at, by=by)
    row.full_clean()
    row.save()
    return row
