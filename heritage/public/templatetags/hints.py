"""What a page is for, said to somebody until they put it away."""

from typing import Any

from django import template

from heritage.people.models import User
from heritage.public.words import HINTS

register = template.Library()


@register.inclusion_tag("public/_hint.html", takes_context=True)
def hint(context: dict[str, Any]) -> dict[str, Any]:
    """Give the page's hint, if it has one that its reader has not put away."""
    request = context.get("request")
    match = getattr(request, "resolver_match", None)
    if not request or not match or match.view_name not in HINTS:
        return {}
    page, user = match.view_name, request.user
    if not isinstance(user, User) or page in user.hints_read:
        return {}
    return {
        "page": page,
        "words": HINTS[page],
        "next": request.get_full_path(),
        "csrf_token": context.get("csrf_token"),
    }
