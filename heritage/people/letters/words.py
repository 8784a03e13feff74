"""Why a letter came back, in sentences."""

from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from heritage.kits.delivery import Failure, Trouble

CAME_BACK: Final[dict[Trouble, str | Promise]] = {
    Trouble.NO_MAILBOX: _("There is no such mailbox."),
    Trouble.NO_SERVER: _("There is no such mail server."),
    Trouble.MISWRITTEN: _("The address is not written rightly."),
    Trouble.MOVED: _("The mailbox has moved, and nobody says where."),
    Trouble.MAILBOX_UNWELL: _("Something is wrong with the mailbox."),
    Trouble.MAILBOX_CLOSED: _("The mailbox is closed."),
    Trouble.MAILBOX_FULL: _("The mailbox is full."),
    Trouble.TOO_LONG: _("The letter is too long for the mailbox."),
    Trouble.NO_ANSWER: _("The reader's mail server does not answer."),
    Trouble.NO_WAY: _("No way to the reader's mail server was found."),
    Trouble.GAVE_UP: _("It was tried for too long."),
    Trouble.REFUSED: _("The reader's mail server does not accept our letters."),
}


def why_it_came_back(failure: Failure) -> str:
    """Say why, in our words where they are known, then in the mail server's own."""
    ours = str(CAME_BACK[failure.trouble]) if failure.trouble else ""
    return " ".join(part for part in (ours, failure.said) if part)
