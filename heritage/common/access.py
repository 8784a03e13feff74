"""The access rule: every view says who it opens to, and nothing opens by silence.

`opens_to` declares a view's role and enforces it. The middleware in
``people.request`` finds out who is asking, and answers 404 for any view of ours
that declares nothing. The rule takes the demonstration's slug out of the address;
views read ``request.standing``, so none has an argument that it does not use.
"""

from collections.abc import Callable
from functools import wraps
from typing import Any, TypeVar

from django.conf import settings
from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.db import models
from django.http import Http404, HttpRequest, HttpResponseBase
from django.shortcuts import get_object_or_404
from django.utils.translation import gettext_lazy as _

from heritage.common.models import OwnedQuerySet

Row = TypeVar("Row", bound=models.Model)


class Role(models.IntegerChoices):
    """What somebody is to a demonstration, each role including those before it."""

    VISITOR = 0, _("visitors")
    ACCOUNT = 1, _("people who are signed in")
    VOLUNTEER = 2, _("volunteers")
    LEAD = 3, _("the lead of the gathering")
    ORGANISER = 4, _("organisers")
    KEEPER = 5, _("the people who run the site")


View = Callable[..., HttpResponseBase]


def opens_to(role: Role) -> Callable[[View], View]:
    """Declare the least role that may use a view, and refuse everybody else.

    A lead leads one gathering, which only the gathering's own queryset can tell:
    a view that opens to `Role.LEAD` lets any volunteer as far as its lookup, which
    must go through ``led_by(user)`` and so ends in a 404 for the others.
    """
    least = Role.VOLUNTEER if role is Role.LEAD else role

    def decorate(view: View) -> View:
        @wraps(view)
        def guarded(
            request: HttpRequest, *args: Any, demonstration: str = "", **kwargs: Any
        ) -> HttpResponseBase:
            # The slug has done its work: the view reads request.standing.
            refusal = _refuse(request, least)
            return refusal or view(request, *args, **kwargs)

        guarded.opens_to = role  # type: ignore[attr-defined]
        return guarded

    return decorate


def declared_role(view: View) -> Role | None:
    """Return the role a view declared, or None if it declared none."""
    return getattr(view, "opens_to", None)


def row_or_404(rows: OwnedQuerySet[Row], request: HttpRequest, pk: int) -> Row:
    """Return a row of the demonstration in the address, or answer 404.

    The rows are what the reader may see: to a stranger there is nothing.
    """
    standing = request.standing  # type: ignore[attr-defined]
    return get_object_or_404(rows.of(standing.demonstration), pk=pk)


def row_or_new(rows: OwnedQuerySet[Row], request: HttpRequest, pk: int | None) -> Row:
    """Return a row as `row_or_404` does or, where none is asked for, a new one."""
    if pk is not None:
        return row_or_404(rows, request, pk)
    standing = request.standing  # type: ignore[attr-defined]
    return rows.model(demonstration=standing.demonstration)


def _refuse(request: HttpRequest, least: Role) -> HttpResponseBase | None:
    held: Role = request.role  # type: ignore[attr-defined]
    if held >= least:
        return None
    # A person who would be let in with a second lock on their account is led to it.
    if getattr(request, "role_with_lock", held) >= least:
        back = request.get_full_path() if request.method in ("GET", "HEAD") else "/"
        return redirect_to_login(back, login_url=settings.SECOND_LOCK_URL)
    if not request.user.is_authenticated:
        return redirect_to_login(request.get_full_path())
    standing = getattr(request, "standing", None)
    if held < Role.VOLUNTEER and standing and not standing.demonstration.is_public:
        raise Http404
    raise PermissionDenied(_("This page is for %s.") % least.label)
