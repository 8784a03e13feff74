"""One way to choose a person, or anything of a long list: by typing a name.

`ByName` is a text field with suggestions, which need no script. What is typed must
name one row that the form offers. Where it names none, or two, the field asks which
of the nearest is meant, and keeps what was typed. Only offered rows are ever
suggested, so a form shows no name that a list to choose from would not show.

Rows of the same name are told apart by the first of their ``marks()`` that differs.
"""

import unicodedata
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from difflib import get_close_matches
from typing import Any, NamedTuple, cast

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Model
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _

MOST_ASKED = 8
# How alike a slip of the pen must be, from 0 to 1; judged by a few hundred names.
ALIKE = 0.7


class Typed(NamedTuple):
    """What was typed, and the key of the row that was then chosen for it."""

    text: str
    key: str = ""


def folded(text: str) -> str:
    """Return a name without case, accents and spare spaces: "Seán " is "sean"."""
    parts = unicodedata.normalize("NFKD", text.casefold())
    bare = "".join(part for part in parts if not unicodedata.combining(part))
    return " ".join(bare.split())


def marked(rows: Any) -> list[Any]:
    """Read the rows of a queryset with what tells apart those of one name."""
    with_marks = getattr(rows, "with_marks", None)
    return list(with_marks() if with_marks else rows)


def labels_of(rows: Iterable[Model]) -> dict[Any, str]:
    """Name each row by its key; those of one name get a mark that differs."""
    alike: dict[str, list[Model]] = defaultdict(list)
    for row in rows:
        alike[str(row).casefold()].append(row)
    return {
        row.pk: f"{row} ({mark})" if mark else str(row)
        for group in alike.values()
        for row, mark in zip(group, _marks(group), strict=True)
    }


def _marks(rows: Sequence[Model]) -> Sequence[str]:
    if len(rows) == 1:
        return [""]
    for kind in zip(*(getattr(row, "marks", tuple)() for row in rows), strict=True):
        if all(kind) and len(set(kind)) == len(rows):
            return kind
    return [_now("no. %s") % row.pk for row in rows]


class NameInput(forms.TextInput):
    """The text, its suggestions and, where it was not clear, the ones to choose from.

    A choice holds the text it was asked for: once that is changed, the text counts.
    """

    template_name = "field/by_name.html"
    choices: Any = ()
    asked: Sequence[Any] = ()

    def __init__(self, attrs: dict[str, Any] | None = None) -> None:
        super().__init__({"autocomplete": "off", "maxlength": 200} | (attrs or {}))

    def get_context(
        self, name: str, value: Any, attrs: dict[str, Any] | None
    ) -> dict[str, Any]:
        context = super().get_context(name, value, attrs)
        labels = cast(ByName, self.choices.field).labels()
        context["widget"]["suggested"] = labels.values()
        context["widget"]["attrs"]["list"] = f"{context['widget']['attrs']['id']}_list"
        context["widget"]["asked"] = [
            (f"{key} {value}", labels[key]) for key in self.asked
        ]
        return context

    def value_from_datadict(
        self, data: Mapping[str, Any], files: Any, name: str
    ) -> Typed:
        text = str(data.get(name) or "").strip()
        key, _space, asked = str(data.get(f"{name}_is") or "").partition(" ")
        return Typed(text, key if asked == text else "")


class ByName(forms.ModelChoiceField):  # type: ignore[type-arg]
    """A row of the queryset, chosen by its name."""

    widget = NameInput
    default_error_messages = {
        "unknown": _("“%(text)s” isn't on the list. Check the spelling."),
        "near": _("“%(text)s” isn't on the list. Is it one of these?"),
        "several": _("There is more than one “%(text)s”. Which one?"),
    }

    _read: tuple[Any, list[Any]] = (None, [])

    def rows(self) -> list[Any]:
        """Return the rows on offer, with what tells them apart: read once."""
        offered: Any = self.queryset
        if self._read[0] is not offered:
            self._read = offered, marked(offered)
        return self._read[1]

    def labels(self) -> dict[Any, str]:
        """Return the name of each row on offer, by its key, in the rows' order."""
        return labels_of(self.rows())

    def prepare_value(self, value: Any) -> Any:
        """Show a row, or its key, as its name, and what was typed as it was typed."""
        if isinstance(value, Typed):
            return value.text
        if isinstance(value, Model):
            value = value.pk
        return self.labels().get(value, "") if isinstance(value, int) else value

    def to_python(self, value: Any) -> Any:
        typed = value if isinstance(value, Typed) else Typed(str(value or "").strip())
        if not typed.text:
            return None
        labels = self.labels()
        keys = self._meant(typed, labels)
        if len(keys) != 1:
            self._ask(typed.text, keys, labels)
        return next(row for row in self.rows() if row.pk == keys[0])

    def has_changed(self, initial: Any, data: Any) -> bool:
        try:
            row = self.to_python(data)
        except ValidationError:
            return True
        was = getattr(initial, "pk", initial)
        return bool((row and row.pk) != (was or None))

    def _meant(self, typed: Typed, labels: dict[Any, str]) -> list[Any]:
        """Return the keys of the rows that may be meant; one is the one."""
        chosen = [key for key in labels if str(key) == typed.key]
        text = typed.text.casefold()
        exact = [key for key, label in labels.items() if label.casefold() == text]
        if chosen or exact:
            return chosen or exact
        bare = folded(typed.text)
        return [row.pk for row in self.rows() if folded(str(row)) == bare]

    def _ask(self, text: str, keys: list[Any], labels: dict[Any, str]) -> None:
        code = "several" if keys else "near"
        keys = keys or _near(text, labels)
        cast(NameInput, self.widget).asked = keys
        code = code if keys else "unknown"
        raise ValidationError(self.error_messages[code], code, {"text": text})


class Named(NamedTuple):
    """One of a fixed list, as `ByName` reads a row: its code and its name."""

    pk: str
    name: str

    def __str__(self) -> str:
        return self.name


class CodeByName(ByName):
    """One code of a fixed list, chosen by its name; empty where none is typed."""

    def __init__(self, choices: Iterable[tuple[str, Any]], **kwargs: Any) -> None:
        super().__init__(None, **kwargs)
        self.codes = choices

    def rows(self) -> list[Any]:
        """Return the list in the reader's language."""
        return [Named(code, str(label)) for code, label in self.codes]

    def prepare_value(self, value: Any) -> Any:
        """Show a code as its name, and what was typed as it was typed."""
        if isinstance(value, Typed):
            return value.text
        return self.labels().get(value, "")

    def to_python(self, value: Any) -> Any:
        row = super().to_python(value)
        return row.pk if row else ""

    def has_changed(self, initial: Any, data: Any) -> bool:
        try:
            return bool(self.to_python(data) != (initial or ""))
        except ValidationError:
            return True


def _near(text: str, labels: dict[Any, str]) -> list[Any]:
    """Return the keys of what holds the text, or else reads most like it."""
    names = {key: folded(label) for key, label in labels.items()}
    holds = [key for key, name in names.items() if folded(text) in name]
    alike = get_close_matches(folded(text), set(names.values()), MOST_ASKED, ALIKE)
    close = [key for key, name in names.items() if name in alike]
    return [*dict.fromkeys([*holds, *close])][:MOST_ASKED]
