"""What is written to people about themselves: invitations, and their accounts."""

from typing import Any

from allauth.account.adapter import DefaultAccountAdapter
from allauth.core import context as asked
from django.conf import settings
from django.contrib.sites.shortcuts import get_current_site
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.translation import gettext as _
from django_tasks import task

from heritage.common import post
from heritage.people.models import Invitation


def invitation_letter(invitation: Invitation) -> tuple[str, str]:
    """Give the subject and the text of the letter that invites."""
    home = invitation.demonstration
    said = {
        "invitation": invitation,
        "demonstration": home,
        "address": settings.SITE_ADDRESS + invitation.get_absolute_url(),
        "until": timezone.localtime(invitation.expires_at, home.zone),
    }
    text = render_to_string("people/mail/invitation.txt", said)
    return _("Invitation: %s") % home.name, text


class AccountMail(DefaultAccountAdapter):  # type: ignore[misc]
    """The account library's own mail, in both forms and through the task queue.

    It stands in no letter book: a code to sign in by is nobody else's to read, and
    whoever waits for one asks for another rather than for a second try.
    """

    def send_mail(self, template_prefix: str, email: str, context: Any) -> None:
        """Queue one letter about an account."""
        site = get_current_site(asked.request)
        said = {"request": asked.request, "email": email, "current_site": site}
        letter = self.render_mail(template_prefix, email, said | context)
        hand_over_account_mail.enqueue(
            subject=letter.subject, text=letter.body, to=email
        )


@task()
def hand_over_account_mail(subject: str, text: str, to: str) -> None:
    """Hand one letter about an account to the mail server."""
    post.hand_over(post.compose(subject=subject, text=text, to=to))
