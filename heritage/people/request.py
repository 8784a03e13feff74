"""Who is asking: the typed request, and the middleware that fills it in."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.contrib.auth.models import AnonymousUser
from django.http import Http404, HttpRequest, HttpResponseBase
from django_htmx.middleware import HtmxDetails

from heritage.common.access import Role, declared_role
from heritage.people.models import User, Volunteer
from heritage.season.models import Demonstration

# Views of installed packages that carry their own rules about who may use them.
OTHERS = ("allauth.", "django.contrib.staticfiles.", "django.views.static")


@dataclass(frozen=True, slots=True)
class Standing:
    """What the person asking is to the demonstration in the address."""

    demonstration: Demonstration
    volunteer: Volunteer | None
    role: Role

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
            request.role = site_role(request.user)
            return
        request.standing = standing_at(request.user, slug)
        request.role = request.standing.role


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
