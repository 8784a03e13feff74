"""Pages without the blanks that a template's tags leave at the ends of lines."""

import re
from collections.abc import Callable

from django.http import HttpRequest, HttpResponseBase

# What somebody typed, and what is set in columns, keeps its blanks.
KEPT = rb"<(textarea|pre)\b.*?</\1>"
BLANKS = re.compile(KEPT + rb"|[ \t]+(?=\r?\n)|\n(?:[ \t]*\n)+", re.DOTALL)


class TrimmingMiddleware:
    """Take the blanks from the ends of a page's lines, and its empty lines."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        response = self.get_response(request)
        if response.headers.get("Content-Type", "").startswith("text/html"):
            content = getattr(response, "content", None)
            if content is not None:
                response.content = BLANKS.sub(_left, content)  # type: ignore[attr-defined]
        return response


def _left(found: re.Match[bytes]) -> bytes:
    if found[1]:
        return found[0]
    return b"\n" if found[0].startswith(b"\n") else b""
