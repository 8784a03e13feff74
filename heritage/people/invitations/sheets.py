"""The sheet that tells somebody on paper of a page of their own."""

from datetime import date

from django.conf import settings
from django.utils import timezone
from django.utils.translation import gettext as _

from heritage.common import sheets as paper_sheet
from heritage.kits.paper import blocks as paper
from heritage.people.models import Invitation
from heritage.season.models import Demonstration


def claim_sheet(
    invitation: Invitation,
    demonstration: Demonstration,
    *,
    printed_on: date,
    large_print: bool,
) -> bytes:
    """Return the sheet of one claim: whose it is, what to do, the private address."""
    address = settings.SITE_ADDRESS + invitation.get_absolute_url()
    return paper_sheet.sheet(
        title=_("Your own page, %s") % invitation.volunteer,
        subtitle=demonstration.name,
        large_print=large_print,
        blocks=[
            paper.Para(_offer(demonstration)),
            paper.Heading(_("How to get to it")),
            paper.Steps(_steps(invitation)),
            paper.QR(address, _("Your own page")),
            paper.Para(_care(invitation, demonstration)),
        ],
        footer=paper.Footer(
            owner=demonstration.name,
            version=_("Printed %s") % f"{printed_on:%d %B %Y}",
        ),
    )


def _offer(demonstration: Demonstration) -> str:
    words = _(
        "You are on the list of %s. You need no computer for that, and nothing "
        "has to change. But if you have a telephone or a computer with e-mail, "
        "there is a page of your own for you: your evenings, what you have "
        "pulled, and your details to change."
    )
    return words % demonstration.name


def _steps(invitation: Invitation) -> list[str]:
    return [
        _("Point your phone's camera at the square, or type in the address beside it."),
        _(
            "Enter your e-mail address, then the six figures we e-mail you. You "
            "need no password."
        ),
        _("Press the button that says you are %s.") % invitation.volunteer,
    ]


def _care(invitation: Invitation, demonstration: Demonstration) -> str:
    until = timezone.localtime(invitation.expires_at, demonstration.zone)
    words = _(
        "Everything you did so far is on it. The address works once, until %s. "
        "Keep the sheet to yourself: anybody who uses it first takes your place "
        "on the list. If it is lost, tell the organiser, who gives you another."
    )
    return words % f"{until:%d %B %Y}".lstrip("0")
