"""How the account library writes and keeps: in our own book, words and seal."""

from datetime import timedelta
from types import SimpleNamespace
from typing import Any
from urllib.parse import urlsplit

from allauth.account.adapter import DefaultAccountAdapter
from allauth.core import context as asked
from allauth.mfa.adapter import DefaultMFAAdapter
from django.conf import settings
from django.utils.translation import gettext_lazy as _

from heritage.common import clock
from heritage.common.sealed import seal, unseal
from heritage.people.accounts import services

CODE_IS_GOOD = timedelta(seconds=settings.ACCOUNT_LOGIN_BY_CODE_TIMEOUT)
# That a password or a lock was changed is worth knowing tomorrow too.
NOTICE_IS_GOOD = timedelta(days=1)
WRONG_CODE = _("That's not the code. Check it, or get a new one.")


class AccountMail(DefaultAccountAdapter):  # type: ignore[misc]
    """The account library's own mail, in both forms and through the task queue.

    It stands in a book of its own (`accounts.services`): a code to sign in by
    is nobody else's to read, and is of no use once it has run out.
    """

    error_messages = DefaultAccountAdapter.error_messages | {
        "account_inactive": _("This account is closed. Ask the organiser."),
        "duplicate_email": _("Your account has this address already."),
        "email_password_mismatch": _(
            "The address or the password is wrong. Try again, or get a code by e-mail."
        ),
        "email_taken": _("There's an account with this address. Sign in instead."),
        "enter_current_password": _("Enter the password you have now."),
        "incorrect_code": WRONG_CODE,
        "incorrect_password": _("That's not your password. Try again."),
        "invalid_login": _("That didn't work. Get a code by e-mail."),
        "same_as_current": _("That's the same as now. Enter another."),
        "too_many_login_attempts": _(
            "Too many tries. Wait five minutes, then try again."
        ),
        "rate_limited": _("Too many tries. Wait five minutes, then try again."),
    }

    def send_mail(self, template_prefix: str, email: str, context: Any) -> None:
        """Write one letter about an account, to be sent at once."""
        # From the settings, not from what a browser says our name is.
        host = urlsplit(settings.SITE_ADDRESS).netloc
        site = SimpleNamespace(domain=host, name=host)
        words = {"request": asked.request, "email": email, "current_site": site}
        letter = self.render_mail(template_prefix, email, words | context)
        services.write(
            address=email,
            subject=letter.subject,
            text=letter.body,
            now=clock.now(),
            good_for=CODE_IS_GOOD if "code" in context else NOTICE_IS_GOOD,
        )


class SealedLock(DefaultMFAAdapter):  # type: ignore[misc]
    """The second lock, with its secrets sealed in the database.

    A row in plain text still opens: while a new version of the site is rolled out, a
    process of the one before may write one. `manage.py reseal` seals it.
    """

    error_messages = DefaultMFAAdapter.error_messages | {
        "add_email_blocked": _("Take the second lock off first, then add the address."),
        "cannot_delete_authenticator": _("The second lock can't be taken off now."),
        "cannot_generate_recovery_codes": _(
            "Set up the second lock first: the spare codes belong to it."
        ),
        "incorrect_code": WRONG_CODE,
        "unverified_email": _("Confirm your e-mail address first, under “E-mail”."),
    }

    def encrypt(self, text: str) -> str:
        """Seal a secret before it is kept."""
        return seal(text)

    def decrypt(self, encrypted_text: str) -> str:
        """Open a secret that is kept."""
        return unseal(encrypted_text)
