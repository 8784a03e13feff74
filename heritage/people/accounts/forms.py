"""Signing in and the second lock: the library's forms, bent to how we do it."""

from allauth.account.forms import LoginForm
from allauth.account.internal.flows.login import record_authentication
from allauth.core import context
from allauth.mfa.totp.forms import ActivateTOTPForm


class SignInForm(LoginForm):  # type: ignore[misc]
    """Sign in by a code; by a password only where the reader asked to give one."""

    def _setup_password_field(self) -> None:
        asked = self.request and self.request.GET.get("way") == "password"
        if "password" not in self.data and not asked:
            del self.fields["password"]


class SecondLockForm(ActivateTOTPForm):  # type: ignore[misc]
    """Put the second lock on an account with a first code from the phone."""

    def clean_code(self) -> str:
        code: str = super().clean_code()
        # The code just shown is as good as one asked for: without this the next page,
        # with the spare codes, would ask for another, which comes in half a minute.
        record_authentication(
            context.request, self.user, method="mfa", type="totp", reauthenticated=True
        )
        return code
