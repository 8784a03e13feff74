"""Times on a page are those of the demonstration's own clocks."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.http import HttpResponse
from django.utils import timezone

from heritage.people.request import Request


def by_local_clock(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Read and show moments where the demonstration is."""

    @wraps(view)
    def there(request: Request, *args: Any, **kwargs: Any) -> HttpResponse:
        with timezone.override(request.standing.demonstration.zone):
            return view(request, *args, **kwargs)

    return there
