"""Signing in and the second lock: the library's forms, bent to how we do it."""

from typing import Any

from allauth.account import forms as account
from allauth.account.internal.flows.login import record_authentication
from allauth.core import context
from allauth.mfa.totp.forms import ActivateTOTPForm
from django.utils.translation import gettext_lazy as _

# What the fields are called everywhere else on the site.
LABELS = {"login": _("E-mail address"), "email": _("E-mail address")}


class OurLabels:
    """A form of the library whose fields are called as on our own."""

    fields: dict[str, Any]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in LABELS.keys() & self.fields:
            self.fields[name].label = LABELS[name]


class SignInForm(OurLabels, account.LoginForm):  # type: ignore[misc]
    """Sign in by a code; by a password only where the reader asked to give one."""

    def _setup_password_field(self) -> None:
        asked = self.request and self.request.GET.get("way") == "password"
        if "password" not in self.data and not asked:
            del self.fields["password"]


class SignUpForm(OurLabels, account.SignupForm):  # type: ignore[misc]
    """Make an account."""


class AskForCodeForm(OurLabels, account.RequestLoginCodeForm):  # type: ignore[misc]
    """Ask for a code to sign in by."""


class NewAddressForm(OurLabels, account.AddEmailForm):  # type: ignore[misc]
    """Sign in with another address from now on."""


class SecondLockForm(ActivateTOTPForm):  # type: ignore[misc]
    """Put the second lock on an account with a first code from the phone."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["code"].label = _("Code from the app")

    def clean_code(self) -> str:
        code: str = super().clean_code()
        # The code just shown is as good as one asked for: without this the next page,
        # with the spare codes, would ask for another, which comes in half a minute.
        record_authentication(
            context.request, self.user, method="mfa", type="totp", reauthenticated=True
        )
        return code
