"""How the gatherings' views reach a row, and give a refusal back."""

from django import forms
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404

from heritage.common import doors
from heritage.gatherings.models import Gathering, Pattern, Run
from heritage.people.request import Request

# Where the service's name for a thing differs from the field it was typed in.
TYPED_IN = {"starts_at": "starts", "ends_at": "ends"}


def seen(request: Request, pk: int) -> Gathering:
    """Return a gathering the reader may see, or answer 404."""
    rows = Gathering.objects.visible_to(request.user).of(request.standing.demonstration)
    return get_object_or_404(rows.for_page(), pk=pk)


def led(request: Request, pk: int) -> Gathering:
    """Return a gathering the reader leads or organises, or answer 404."""
    rows = Gathering.objects.led_by(request.user).of(request.standing.demonstration)
    return get_object_or_404(rows.for_page(), pk=pk)


def managed(request: Request, pk: int) -> Gathering:
    """Return a gathering the reader organises, or answer 404."""
    rows = Gathering.objects.managed_by(request.user)
    rows = rows.of(request.standing.demonstration)
    return get_object_or_404(rows.for_page(), pk=pk)


def pattern_at(request: Request, key: str) -> Pattern:
    """Return the pattern an address names, if the reader organises it, or 404."""
    rows = Pattern.objects.managed_by(request.user)
    rows = rows.of(request.standing.demonstration)
    return get_object_or_404(rows, pk=int(key) if key.isdecimal() else 0)


def run_of(request: Request, pk: int) -> Run:
    """Return a run the reader organises, or answer 404."""
    rows = Run.objects.managed_by(request.user).of(request.standing.demonstration)
    return get_object_or_404(rows.select_related("demonstration"), pk=pk)


def put_back(form: forms.Form, error: ValidationError) -> None:
    """Give a service's refusal back to the fields it speaks of."""
    doors.put_back(form, error, TYPED_IN)
