"""How a page takes a form, says a refusal, and finds its way back."""

from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, QueryDict
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_http_methods

Written = TypeVar("Written")

asks_and_takes = require_http_methods(["GET", "HEAD", "POST"])


def typed(request: HttpRequest) -> QueryDict | None:
    """Return what was sent; an empty form is sent too."""
    return request.POST if request.method == "POST" else None


def sent(request: HttpRequest) -> tuple[QueryDict | None, Any]:
    """Return the fields and the files that were sent, for a form that takes both."""
    return (request.POST, request.FILES) if request.method == "POST" else (None, None)


def carried_out(
    request: HttpRequest, form: forms.BaseForm, write: Callable[[], object]
) -> bool:
    """Do what a good form asks; a refusal goes back onto the form."""
    if request.method != "POST" or not form.is_valid():
        return False
    try:
        write()
    except ValidationError as error:
        put_back(form, error)
        return False
    return True


def made(
    request: HttpRequest, form: forms.BaseForm, write: Callable[[], Written]
) -> Written | None:
    """Do what a good form asks and return what came of it, or None if nothing did."""
    found: list[Written] = []
    carried_out(request, form, lambda: found.append(write()))
    return found[0] if found else None


def done_or_said(request: HttpRequest, write: Callable[[], object], words: Any) -> None:
    """Do what a button asks, and say that it is done or why it is not."""
    try:
        write()
    except ValidationError as error:
        for sentence in error.messages:
            messages.error(request, sentence)
    else:
        messages.success(request, words)


def safe_next(request: HttpRequest, otherwise: str) -> str:
    """Return where the reader came from, if that is a page of this site."""
    back = request.POST.get("next") or request.GET.get("next") or ""
    safe = url_has_allowed_host_and_scheme(
        back, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    return back if safe else otherwise


def put_back(
    form: forms.BaseForm,
    error: ValidationError,
    typed_in: Mapping[str, str] | None = None,
) -> None:
    """Give a refusal back to the fields it speaks of, or above the form.

    ``typed_in`` names the field where the service's name for a thing differs.
    """
    if not hasattr(error, "error_dict"):
        form.add_error(None, error)
        return
    found: dict[str, Any] = error.error_dict
    for name, errors in found.items():
        field = (typed_in or {}).get(name, name)
        form.add_error(field if field in form.fields else None, errors)
