"""Pages that belong to no subject."""

import logging

from django.conf import settings
from django.core.cache import cache
from django.db import connection
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST, require_safe

from heritage.common import clock, stylesheet
from heritage.common.access import Role, opens_to
from heritage.common.chores import note_done
from heritage.common.models import Chore
from heritage.common.store import try_a_write

log = logging.getLogger(__name__)
THEMES = ("day", "dusk")
A_YEAR = 60 * 60 * 24 * 365
# Asking again within this many seconds gets the same answer: a write costs something.
READY_FOR = 5


@opens_to(Role.VISITOR)
@require_POST
def choose_theme(request: HttpRequest) -> HttpResponse:
    """Keep the reader's choice of theme, then go back to where they were."""
    back = request.POST.get("next", "/")
    if not url_has_allowed_host_and_scheme(back, allowed_hosts={request.get_host()}):
        back = "/"
    response = redirect(back)
    theme = request.POST.get("theme", "")
    if theme in THEMES:
        response.set_cookie(
            "theme",
            theme,
            max_age=A_YEAR,
            samesite="Lax",
            secure=settings.BEHIND_HTTPS,
            httponly=True,
        )
    else:
        response.delete_cookie("theme")
    return response


@opens_to(Role.VISITOR)
@require_safe
def style_sheet(request: HttpRequest, style_version: str) -> HttpResponse:
    """Give every style as one sheet: for good, since a change has another address.

    Somebody with a page of the release before gets what there is now.
    """
    response = HttpResponse(stylesheet.sheet(), content_type="text/css")
    response["Cache-Control"] = f"public, max-age={A_YEAR}, immutable"
    return response


@opens_to(Role.VISITOR)
@require_safe
def alive(request: HttpRequest) -> HttpResponse:
    """Tell a proxy that the process answers and reaches its database."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
    return HttpResponse("alive", content_type="text/plain")


@opens_to(Role.VISITOR)
@require_safe
def ready(request: HttpRequest) -> HttpResponse:
    """Tell a watch whether the database and the store of files take what is written."""
    if not cache.get("ready"):
        failed = _refused_writes()
        if failed:
            words = f"cannot write: {', '.join(failed)}"
            return HttpResponse(words, status=503, content_type="text/plain")
        cache.set("ready", True, READY_FOR)
    return HttpResponse("ready", content_type="text/plain")


def _refused_writes() -> list[str]:
    """Name what does not take a write; the log says why."""
    tries = {
        "database": lambda: note_done(chore=Chore.READY, now=clock.now()),
        "files": try_a_write,
    }
    failed = []
    for name, write in tries.items():
        try:
            write()
        except Exception:
            log.exception("ready: %s", name)
            failed.append(name)
    return failed
