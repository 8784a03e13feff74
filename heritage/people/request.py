"""Who is asking: the typed request, and the middleware that fills it in.

An organiser whose account has no second lock is a volunteer to the site from a day
after they were made organiser, last (`Volunteer.organiser_since`), and organisers'
pages lead to setting it up; a keeper has no first day. Leading an evening stays open,
because nobody at the gate at dusk should be sent for an app. ``ORGANISERS_NEED_MFA``
turns it off; it is off under DEBUG, and so in the show.
"""

import logging
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any

from allauth.mfa.models import Authenticator
from allauth.mfa.utils import is_mfa_enabled
from django.conf import settings
from django.contrib.auth.models import AnonymousUser
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django_htmx.middleware import HtmxDetails

from heritage.common import clock
from heritage.common.access import Role, declared_role
from heritage.common.sealed import WrongKeyError
from heritage.people.models import User, Volunteer
from heritage.season.models import Demonstration

log = logging.getLogger(__name__)
# How long somebody newly made organiser may organise before their account needs a
# second lock: the evening on which they set the demonstration up, or were asked to.
FIRST_DAY = timedelta(days=1)
# Views of installed packages that carry their own rules about who may use them.
OTHERS = ("allauth.", "django.contrib.staticfiles.", "django.views.static")


@dataclass(frozen=True, slots=True)
class Standing:
    """What the person asking is to the demonstration in the address."""

    demonstration: Demonstration
    volunteer: Volunteer | None
    role: Role
    # Until when an organiser's pages stay open without a second lock.
    lock_by: datetime | None = None

    @property
    def is_organiser(self) -> bool:
        return self.role >= Role.ORGANISER

    @property
    def is_volunteer(self) -> bool:
        return self.volunteer is not None


class Request(HttpRequest):
    """A request as views see it, once the middleware has been by."""

    user: User | AnonymousUser
    htmx: HtmxDetails
    role: Role
    role_with_lock: Role
    standing: Standing


class VolunteerRequest(Request):
    """A request to a page that opens to volunteers: somebody is signed in."""

    user: User


class StandingMiddleware:
    """Say who is asking, and close every view of ours that declares no role."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        return self.get_response(request)

    def process_view(
        self, request: Request, view: Callable[..., Any], args: Any, kwargs: Any
    ) -> None:
        if declared_role(view) is None and not view.__module__.startswith(OTHERS):
            raise Http404
        slug = kwargs.get("demonstration")
        if slug is None:
            request.role = request.role_with_lock = site_role(request.user)
        else:
            request.standing = standing_at(request.user, slug)
            request.role = request.role_with_lock = request.standing.role
        if request.role >= Role.ORGANISER and wants_lock(request.user):
            _hold_back(request)

    def process_exception(
        self, request: HttpRequest, error: Exception
    ) -> HttpResponse | None:
        """Tell the owner of a lock that does not open, and the keeper what to do."""
        if not isinstance(error, WrongKeyError):
            return None
        log.error("%s", error)
        return render(request, "people/second_lock_shut.html", status=503)


def wants_lock(user: User | AnonymousUser) -> bool:
    """Tell whether an organiser's account has no second lock where one is asked."""
    asked: bool = settings.ORGANISERS_NEED_MFA
    return asked and not is_mfa_enabled(user, [Authenticator.Type.TOTP])


def _hold_back(request: Request) -> None:
    """Be to somebody without a second lock what they are besides organiser.

    On their first day they keep the role, and are told until when.
    """
    standing: Standing | None = getattr(request, "standing", None)
    volunteer = standing.volunteer if standing else None
    if standing and volunteer and request.role is Role.ORGANISER:
        lock_by = _first_day_ends(volunteer)
        if lock_by and clock.now() < lock_by:
            request.standing = replace(standing, lock_by=lock_by)
            return
    request.role = Role.VOLUNTEER if volunteer else Role.ACCOUNT
    if standing:
        request.standing = replace(standing, role=request.role)


def _first_day_ends(volunteer: Volunteer) -> datetime | None:
    since = volunteer.organiser_since
    return since + FIRST_DAY if since else None


def site_role(user: User | AnonymousUser) -> Role:
    """Return what somebody is to the site as a whole."""
    if not user.is_authenticated:
        return Role.VISITOR
    return Role.KEEPER if user.is_staff else Role.ACCOUNT


def standing_at(user: User | AnonymousUser, slug: str) -> Standing:
    """Look up a demonstration and what the user is to it.

    Raises
    ------
    Http404
        If there is none of that name that the user may know of.
    """
    demonstration = Demonstration.objects.visible_to(user).filter(slug=slug).first()
    if demonstration is None:
        raise Http404
    volunteer = None
    if isinstance(user, User):
        volunteer = user.volunteers.active().of(demonstration).first()
    return Standing(demonstration, volunteer, _role(user, volunteer))


def _role(user: User | AnonymousUser, volunteer: Volunteer | None) -> Role:
    general = site_role(user)
    if general is Role.KEEPER or volunteer is None:
        return general
    return Role.ORGANISER if volunteer.is_organiser else Role.VOLUNTEER


def standing(request: HttpRequest) -> dict[str, Any]:
    """Give every template the standing, or None outside a demonstration."""
    return {"standing": getattr(request, "standing", None)}
