"""How these pages reach a row, take a form and say a refusal."""

from collections.abc import Callable
from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import QueryDict
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_http_methods

from heritage.people.request import Request

asks_and_takes = require_http_methods(["GET", "HEAD", "POST"])


def typed(request: Request) -> QueryDict | None:
    """Return what was sent; an empty form is sent too."""
    return request.POST if request.method == "POST" else None


def carried_out(
    request: Request, form: forms.BaseForm, write: Callable[[], object]
) -> bool:
    """Do what a good form asks; a refusal goes back onto the form."""
    if request.method != "POST" or not form.is_valid():
        return False
    try:
        write()
    except ValidationError as error:
        form.add_error(None, _for_fields_of(form, error))
        return False
    return True


def done_or_said(request: Request, write: Callable[[], object], words: Any) -> None:
    """Do what a button asks, and say that it is done or why it is not."""
    try:
        write()
    except ValidationError as error:
        for sentence in error.messages:
            messages.error(request, sentence)
    else:
        messages.success(request, words)


def safe_next(request: Request, otherwise: str) -> str:
    """Return where the reader came from, if that is a page of this site."""
    back = request.POST.get("next") or request.GET.get("next") or ""
    safe = url_has_allowed_host_and_scheme(
        back, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    return back if safe else otherwise


def _for_fields_of(form: forms.BaseForm, error: ValidationError) -> ValidationError:
    """Keep a refusal's sentences beside the fields that the form really has."""
    if not hasattr(error, "error_dict"):
        return error
    if all(name in form.fields for name in error.error_dict):
        return error
    return ValidationError(error.messages)
