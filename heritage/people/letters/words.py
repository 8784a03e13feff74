"""Why a letter came back, in sentences."""

from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from heritage.kits.delivery import Failure, Trouble

CAME_BACK: Final[dict[Trouble, str | Promise]] = {
    Trouble.NO_MAILBOX: _("There's no such mailbox."),
    Trouble.NO_SERVER: _("There's no such mail server."),
    Trouble.MISWRITTEN: _("The address isn't written correctly."),
    Trouble.MOVED: _("The mailbox has moved, and we don't know where."),
    Trouble.MAILBOX_UNWELL: _("Something is wrong with their mailbox."),
    Trouble.MAILBOX_CLOSED: _("The mailbox is closed."),
    Trouble.MAILBOX_FULL: _("The mailbox is full."),
    Trouble.TOO_LONG: _("The e-mail is too long for the mailbox."),
    Trouble.NO_ANSWER: _("Their mail server doesn't answer."),
    Trouble.NO_WAY: _("We couldn't reach their mail server."),
    Trouble.GAVE_UP: _("We tried for too long."),
    Trouble.REFUSED: _("Their mail server doesn't accept our e-mail."),
}


def why_it_came_back(failure: Failure) -> str:
    """Say why, in our words where they are known, then in the mail server's own."""
    ours = str(CAME_BACK[failure.trouble]) if failure.trouble else ""
    return " ".join(part for part in (ours, failure.said) if part)
