"""Pages that belong to no trade."""

from django.conf import settings
from django.db import connection
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST, require_safe

from heritage.common.access import Role, opens_to

THEMES = ("day", "dusk")
A_YEAR = 60 * 60 * 24 * 365


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
def alive(request: HttpRequest) -> HttpResponse:
    """Tell a proxy that the process answers and reaches its database."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
    return HttpResponse("alive", content_type="text/plain")
