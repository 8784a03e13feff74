"""Forms that call their service, and the views that show them.

A form cleans what was typed and hands it to a service in ``write``; `submit` gives a
service's refusal back to the fields it speaks of. The view says where to go next::

    form = ExitForm(typed(request), instance=Exit(demonstration=here))
    if form.submit():
        messages.success(request, _("Kept."))
        return redirect("grounds:site", here.slug)
    return render(request, "grounds/exit_form.html", {"form": form})

Who does it and when come in by `submit`: ``form.submit(by=request.user, now=now)``.
A small record (an exit, a first-aid point, a stone) needs less: `take_record`.
"""

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from copy import copy
from dataclasses import dataclass
from functools import wraps
from typing import Any, ClassVar, Protocol, TypeVar

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import Model, QuerySet
from django.forms.models import construct_instance
from django.forms.utils import ErrorDict
from django.http import HttpRequest, HttpResponse, HttpResponseBase, QueryDict
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from heritage.common.parting import SEEK, SOUGHT
from heritage.common.rows import keep_record, remove_record

Row = TypeVar("Row", bound=Model)
Answer = TypeVar("Answer", bound=HttpResponseBase)

asks_and_takes = require_http_methods(["GET", "HEAD", "POST"])


class Submits(forms.BaseForm):
    """What a form that calls a service can do; ``saved`` is what the service gave.

    ``field_of`` names the field where the service's name for a thing differs.
    """

    field_of: ClassVar[Mapping[str, str]] = {}
    saved: Any = None

    def offer(self, name: str, rows: QuerySet[Any]) -> None:
        """Offer these rows alone in a field that points at some."""
        self.fields[name].queryset = rows  # type: ignore[attr-defined]

    def write(self, *args: Any, **given: Any) -> Any:
        """Call the service with what was typed."""
        raise NotImplementedError

    def submit(self, **given: Any) -> bool:
        """Hand a good form to its service; give a refusal back to the fields.

        Where a list in it was searched, it is shown again as it was typed, unchecked.
        """
        if self.is_searched():
            self._errors, self.cleaned_data = ErrorDict(), {}
            return False
        if not self.is_valid():
            return False
        try:
            self.saved = self.write(**given)
        except ValidationError as error:
            self.refuse(error)
            return False
        return True

    def is_searched(self) -> bool:
        """Tell whether a list in the form was searched; the enter key may say so too.

        The first button of a form is pressed by it, and then nothing is sought.
        """
        return SEEK in self.data and bool(self.data.get(SOUGHT, "").strip())

    def refuse(self, error: ValidationError) -> None:
        """Give a refusal back to the fields it speaks of, or above the form."""
        if not hasattr(error, "error_dict"):
            self.add_error(None, error)
            return
        refusals: dict[str, Any] = error.error_dict
        for name, errors in refusals.items():
            field = self.field_of.get(name, name)
            self.add_error(field if field in self.fields else None, errors)


class ServiceForm(Submits, forms.Form):
    """A form of its own fields, whose ``write`` calls the service."""


class RecordForm(Submits, forms.ModelForm[Row]):
    """A form of a row: fields, labels and limits are the model's.

    The row stays as it is until the service fills it in and checks it whole.
    """

    class Meta:
        fields: list[str] = []

    def _post_clean(self) -> None:
        """Say all faults at once: ask a copy of the row what its fields may be.

        If one is wrong, ask for its rules too; if none is, the service does so.
        """
        row = construct_instance(self, copy(self.instance), self.Meta.fields)
        self._ask(row.clean_fields)
        if self.errors:
            self._ask(row.validate_constraints)

    def _ask(self, check: Callable[..., None]) -> None:
        try:
            check(exclude=self._get_validation_exclusions())  # type: ignore[attr-defined]
        except ValidationError as error:
            self._update_errors(error)  # type: ignore[attr-defined]

    def values(self) -> dict[str, Any]:
        """Return what was typed of what was asked, by the model's names."""
        asked = (name for name in self.Meta.fields if name in self.fields)
        return {name: self.cleaned_data[name] for name in asked}

    def write(self, *args: Any, **given: Any) -> Any:
        """Keep the row; overridden where more than the row's own rules is asked."""
        return keep_record(row=self.instance, values=self.values())

    def remove(self, *args: Any, **given: Any) -> None:
        """Take the row away; overridden where a service does."""
        remove_record(row=self.instance)


class WithPhotograph(RecordForm[Row]):
    """A form with a photograph, which a browser does not keep for a second try."""

    def submit(self, **given: Any) -> bool:
        """Ask for the photograph again where another field is wrong."""
        done = super().submit(**given)
        words = _("Choose the photograph again, please: a browser does not keep it.")
        if self.errors or self.is_searched():
            for name in set(self.files) & set(self.fields) - set(self.errors):
                self.add_error(name, words)
        return done


def two_lines() -> forms.Textarea:
    """Give room for a sentence or two."""
    return forms.Textarea(attrs={"rows": 2})


def typed(request: HttpRequest) -> QueryDict | None:
    """Return what was sent; an empty form is sent too."""
    return request.POST if request.method == "POST" else None


def sent(request: HttpRequest) -> tuple[QueryDict | None, Any]:
    """Return the fields and the files that were sent, for a form that takes both."""
    return (request.POST, request.FILES) if request.method == "POST" else (None, None)


@contextmanager
def refusals_shown(request: HttpRequest) -> Iterator[None]:
    """Show why a service refused what a button asked, on the next page."""
    try:
        yield
    except ValidationError as error:
        for sentence in error.messages:
            messages.error(request, sentence)


def safe_next(request: HttpRequest, otherwise: str) -> str:
    """Return where the reader came from, if that is a page of this site."""
    back = request.POST.get("next") or request.GET.get("next") or ""
    safe = url_has_allowed_host_and_scheme(
        back, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    return back if safe else otherwise


@dataclass(frozen=True, slots=True)
class RecordPage:
    """The words of a small record's page, and where it leads back to.

    Without ``remove``, its button's words, the record cannot be taken away.
    ``kept_at`` is where a record that is kept is shown, if not at ``back``;
    ``beside`` names the template of what stands beside the form.
    """

    title: str
    lead: str
    submit: str
    kept: str
    back: str
    kept_at: str = ""
    remove: str = ""
    remove_lead: str = ""
    removed: str = ""
    beside: str = ""


class _Record(Protocol):
    instance: Any

    def submit(self, **given: Any) -> bool: ...
    def remove(self, *args: Any, **given: Any) -> None: ...


def take_record(
    request: HttpRequest, form: _Record, page: RecordPage, **given: Any
) -> HttpResponse:
    """Show the form; keep what a good one says, or take the record away."""
    can_go = bool(page.remove and form.instance.pk)
    if can_go and request.method == "POST" and "away" in request.POST:
        with refusals_shown(request):
            form.remove(**given)
            messages.success(request, page.removed)
        return redirect(page.back)
    if form.submit(**given):
        messages.success(request, page.kept)
        return redirect(page.kept_at or page.back)
    context = {"form": form, "page": page, "can_go": can_go}
    return render(request, "_row_form.html", context)


def by_local_clock(view: Callable[..., Answer]) -> Callable[..., Answer]:
    """Read and show moments where the demonstration is."""

    @wraps(view)
    def there(request: Any, *args: Any, **kwargs: Any) -> Answer:
        with timezone.override(request.standing.demonstration.zone):
            return view(request, *args, **kwargs)

    return there
