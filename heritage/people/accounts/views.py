"""Pages of an account that the library has not, or has otherwise."""

import time

from allauth.account.adapter import get_adapter
from allauth.account.internal.flows.login import get_authentication_records
from allauth.account.internal.flows.reauthentication import (
    raise_if_reauthentication_required,
)
from allauth.mfa.models import Authenticator
from allauth.mfa.utils import is_mfa_enabled
from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from heritage.common.access import Role, opens_to
from heritage.common.forms import asks_and_takes, safe_next
from heritage.people.request import Request, VolunteerRequest

RECENT_S = 15 * 60


@opens_to(Role.ACCOUNT)
@never_cache
@require_safe
def second_lock(request: VolunteerRequest) -> HttpResponse:
    """Say why organisers need a second lock; once it is on, go where they were going.

    The way back is kept in the session, since setting the lock up takes three pages.
    """
    onward = safe_next(request, request.session.get("after_second_lock", ""))
    if is_mfa_enabled(request.user, [Authenticator.Type.TOTP]):
        request.session.pop("after_second_lock", None)
        return redirect(onward or "mfa_index")
    request.session["after_second_lock"] = onward
    return render(request, "people/second_lock.html")


@opens_to(Role.VISITOR)
@require_safe
def forgotten(request: Request, rest: str = "") -> HttpResponse:
    """Lead somebody who forgot their password to the code that lets them in.

    The library's own addresses for a reset end here too, whatever their ``rest``.
    """
    messages.info(
        request,
        _(
            "You need no password: a code by e-mail lets you in. You can set a new "
            "password then, under your name at the top."
        ),
    )
    if request.user.is_authenticated:
        return redirect("take_away_password")
    return redirect("account_request_login_code")


@opens_to(Role.ACCOUNT)
@never_cache
@asks_and_takes
def take_away_password(request: VolunteerRequest) -> HttpResponse:
    """Take the password off an account: the way to forget it, or to be rid of it.

    Nobody needs to know the old one, so the owner must have signed in just now, or
    show the second lock's code once more.
    """
    user = request.user
    if is_mfa_enabled(user):
        raise_if_reauthentication_required(request, app="allauth.mfa")
    if not user.has_usable_password():
        return redirect("account_set_password")
    recent = is_mfa_enabled(user) or _signed_in_just_now(request)
    if request.method == "POST" and recent:
        user.set_unusable_password()
        user.save(update_fields=["password"])
        update_session_auth_hash(request, user)
        get_adapter(request).send_notification_mail("account/email/password_gone", user)
        messages.success(request, _("Password removed. You sign in with a code now."))
        return redirect("account_set_password")
    return render(request, "people/take_away_password.html", {"recent": recent})


def _signed_in_just_now(request: VolunteerRequest) -> bool:
    # The library writes down when somebody showed who they are by the machine's clock.
    moments = [
        record["at"] for record in get_authentication_records(request, request.user)
    ]
    return bool(moments) and time.time() - moments[-1] < RECENT_S
