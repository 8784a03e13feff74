"""Letters about people: invitations."""

from django.conf import settings
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.translation import gettext as _

from heritage.common import post
from heritage.people.models import Invitation


def send_invitation(pk: int) -> None:
    """Send the letter that invites, unless the invitation was withdrawn."""
    rows = Invitation.objects.select_related("demonstration", "made_by")
    invitation = rows.get(pk=pk)
    if invitation.withdrawn_at or not invitation.email:
        return
    home = invitation.demonstration
    until = timezone.localtime(invitation.expires_at, home.zone)
    said = {
        "invitation": invitation,
        "demonstration": home,
        "address": settings.SITE_ADDRESS + invitation.get_absolute_url(),
        "until": until,
    }
    post.send(
        subject=_("Invitation: %s") % home.name,
        body=render_to_string("people/mail/invitation.txt", said),
        to=[invitation.email],
    )
