"""How the account library writes: through our own book, in our own words."""

from datetime import timedelta
from types import SimpleNamespace
from typing import Any
from urllib.parse import urlsplit

from allauth.account.adapter import DefaultAccountAdapter
from allauth.core import context as asked
from django.conf import settings

from heritage.common import clock
from heritage.people.services import account_letters

CODE_IS_GOOD = timedelta(seconds=settings.ACCOUNT_LOGIN_BY_CODE_TIMEOUT)
# That a password or a lock was changed is worth knowing tomorrow too.
NOTICE_IS_GOOD = timedelta(days=1)


class AccountMail(DefaultAccountAdapter):  # type: ignore[misc]
    """The account library's own mail, in both forms and through the task queue.

    It stands in a book of its own (`services.account_letters`): a code to sign in by
    is nobody else's to read, and is of no use once it has run out.
    """

    def send_mail(self, template_prefix: str, email: str, context: Any) -> None:
        """Write one letter about an account, to be sent at once."""
        # From the settings, not from what a browser says our name is.
        host = urlsplit(settings.SITE_ADDRESS).netloc
        site = SimpleNamespace(domain=host, name=host)
        said = {"request": asked.request, "email": email, "current_site": site}
        letter = self.render_mail(template_prefix, email, said | context)
        account_letters.write(
            address=email,
            subject=letter.subject,
            text=letter.body,
            now=clock.now(),
            good_for=CODE_IS_GOOD if "code" in context else NOTICE_IS_GOOD,
        )
