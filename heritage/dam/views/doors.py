"""How the dam's views reach a row, tell the time and draw."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.utils.safestring import mark_safe

from heritage.dam.models import Dam, Reading, Ret, Treading
from heritage.kits.drawing import Drawing, to_svg
from heritage.people.request import Request

Answer = Callable[..., HttpResponse]


def by_its_clock(view: Answer) -> Answer:
    """Read and write moments by the clock on the demonstration's wall."""

    @wraps(view)
    def timed(request: Request, *args: Any, **kwargs: Any) -> HttpResponse:
        with timezone.override(request.standing.demonstration.zone):
            return view(request, *args, **kwargs)

    return timed


def dam_at(request: Request, pk: int) -> Dam:
    """Return a dam the reader may see, or answer 404."""
    rows = Dam.objects.visible_to(request.user).of(request.standing.demonstration)
    return get_object_or_404(rows.select_related("demonstration"), pk=pk)


def ret_at(request: Request, pk: int) -> Ret:
    """Return a ret the reader may see, or answer 404."""
    rows = Ret.objects.visible_to(request.user).of(request.standing.demonstration)
    return get_object_or_404(rows.select_related("dam__demonstration"), pk=pk)


def reading_at(request: Request, pk: int) -> Reading:
    """Return a reading of the water the reader may see, or answer 404."""
    rows = Reading.objects.visible_to(request.user).of(request.standing.demonstration)
    return get_object_or_404(rows.select_related("ret__dam__demonstration"), pk=pk)


def turn_at(request: Request, pk: int) -> Treading:
    """Return a turn of treading the reader may see, or answer 404."""
    rows = Treading.objects.visible_to(request.user).of(request.standing.demonstration)
    return get_object_or_404(rows.for_page(), pk=pk)


def svg(drawing: Drawing, prefix: str) -> str:
    """Return a drawing to stand in a page; the kit escapes every word in it."""
    return mark_safe(to_svg(drawing, prefix=prefix))  # noqa: S308
