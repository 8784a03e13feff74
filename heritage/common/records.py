"""Forms that clean what was typed and leave the row to a service."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import wraps
from typing import Any, TypeVar

from django import forms
from django.contrib import messages
from django.db.models import Model
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from heritage.common.doors import carried_out, done_or_said

Row = TypeVar("Row", bound=Model)


class PlainForm(forms.ModelForm[Row]):
    """A form of some fields of a row, handed on as they were typed."""

    class Meta:
        fields: list[str] = []

    def _post_clean(self) -> None:
        """Leave the row alone: the service fills it in and checks it whole."""

    def said(self) -> dict[str, Any]:
        """Return what was typed as the service takes it."""
        return {name: self.cleaned_data[name] for name in self.Meta.fields}


def two_lines() -> forms.Textarea:
    """Give room for a sentence or two."""
    return forms.Textarea(attrs={"rows": 2})


@dataclass(frozen=True, slots=True)
class RowPage:
    """The words of such a page, and where it leads back to."""

    title: str
    lead: str
    submit: str
    kept: str
    back: str
    away: str = ""
    gone: str = ""


def take_row(
    request: HttpRequest,
    form: forms.BaseForm,
    page: RowPage,
    keep: Callable[[], object],
    away: Callable[[], object] | None = None,
) -> HttpResponse:
    """Show the form; keep what a good one says, or take the row away."""
    if away and request.method == "POST" and "away" in request.POST:
        done_or_said(request, away, page.gone)
        return redirect(page.back)
    if carried_out(request, form, keep):
        messages.success(request, page.kept)
        return redirect(page.back)
    context = {"form": form, "page": page, "can_go": away is not None}
    return render(request, "_row_form.html", context)


def by_local_clock(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Read and show moments where the demonstration is."""

    @wraps(view)
    def there(request: Any, *args: Any, **kwargs: Any) -> HttpResponse:
        with timezone.override(request.standing.demonstration.zone):
            return view(request, *args, **kwargs)

    return there
