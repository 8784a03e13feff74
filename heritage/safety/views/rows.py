"""A page that takes one row: kept, put right, or taken away."""

from collections.abc import Callable
from dataclasses import dataclass

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render

from heritage.common.doors import carried_out, done_or_said
from heritage.people.request import Request


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
    request: Request,
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
    return render(request, "safety/row_form.html", context)
