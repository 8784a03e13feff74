"""What is written to people about themselves: invitations."""

from django.conf import settings
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.translation import gettext as _

from heritage.people.models import Invitation


def invitation_letter(invitation: Invitation) -> tuple[str, str]:
    """Give the subject and the text of the letter that invites."""
    home = invitation.demonstration
    context = {
        "invitation": invitation,
        "demonstration": home,
        "address": settings.SITE_ADDRESS + invitation.get_absolute_url(),
        "until": timezone.localtime(invitation.expires_at, home.zone),
    }
    text = render_to_string("people/mail/invitation.txt", context)
    return _("Invitation: %s") % home.name, text
