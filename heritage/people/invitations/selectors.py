"""What the organiser sees of invitations, and what the person invited sees."""

from dataclasses import dataclass
from datetime import datetime

from heritage.people.models import Invitation
from heritage.season.models import Demonstration


@dataclass(frozen=True, slots=True)
class InvitationsPage:
    """The invitations and claims of a demonstration: those open, and the rest."""

    open: tuple[Invitation, ...]
    closed: tuple[Invitation, ...]


def invitations_page(demonstration: Demonstration, now: datetime) -> InvitationsPage:
    """List every invitation with who took it up; one query."""
    rows = demonstration.invitations.newest_first().select_related("taken_by")
    sorted_ = [(row.trouble_at(now) == "", row) for row in rows]
    return InvitationsPage(
        open=tuple(row for is_open, row in sorted_ if is_open),
        closed=tuple(row for is_open, row in sorted_ if not is_open),
    )
