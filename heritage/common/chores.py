"""Writing down that the site has done its work."""

from datetime import datetime

from heritage.common.models import Chore, LastRun

LONGEST_TROUBLE = 200


def note_done(*, chore: Chore, now: datetime, trouble: str = "") -> None:
    """Write down that a chore was done; several at once are all right."""
    LastRun.objects.update_or_create(
        chore=chore, defaults={"at": now, "trouble": trouble[:LONGEST_TROUBLE]}
    )
