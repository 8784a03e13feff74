"""Writing down that the site has done its work.

`LastRun` has one row for ``tend`` and one for ``tidy --carry-out``. The day's page
says that one stands still only where something waits for it: rows due to be deleted
after two days, a letter, an answer or a reminder after an hour.
"""

from datetime import datetime

from heritage.common.models import Chore, LastRun

LONGEST_TROUBLE = 200


def note_done(*, chore: Chore, now: datetime, trouble: str = "") -> None:
    """Write down that a chore was done; several at once are all right."""
    LastRun.objects.update_or_create(
        chore=chore, defaults={"at": now, "trouble": trouble[:LONGEST_TROUBLE]}
    )
