"""Long lists in parts: a few names at hand, the others behind their first and last.

A long text is told in two: how it begins, and the rest on a tap (`in_two`).

A page without script can fold but not scroll to a name, so a list may be searched on
the server: what is found comes first. Ticks and counts stay as they were typed, since
every row stays in the form (see ``Submits.submit`` in `heritage.common.forms`).
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from django import forms
from django.forms.models import ModelChoiceIterator, ModelChoiceIteratorValue

from heritage.common.by_name import folded, labels_of, marked

Row = TypeVar("Row")

# So many rows are one part; a list of a few more is not worth folding.
A_PART = 10
UNPARTED = 14
# The same where every row takes a quarter of a phone's screen or more.
A_TALL_PART, UNPARTED_TALL = 4, 6
# Of a very long list the parts grow, so that no more than these are folded.
MOST_PARTS = 10
# A text of so many letters is read whole; of a longer one so many at once.
WHOLE_TEXT, AT_ONCE = 700, 400
# The button that searches a list in a form, and what was typed to be found.
SEEK, SOUGHT = "seek", "sought"


@dataclass(frozen=True, slots=True)
class Part(Generic[Row]):
    """Some rows of a list, in order, and the names of the first and the last."""

    rows: Sequence[Row]
    first: str
    last: str
    # The rows at hand, which are not folded.
    is_open: bool = False


def parted(
    rows: Iterable[Row],
    name_of: Callable[[Row], str],
    at_hand: Callable[[Row], bool] = lambda row: False,
    *,
    opens: bool = True,
    is_tall: bool = False,
) -> list[Part[Row]]:
    """Part a list: what is at hand is open, what remains is folded by tens.

    A short list is one open part, and where nothing is at hand the first part is,
    unless the list ``opens`` only for what is sought. Rows that are tall go by fours.
    """
    everything = list(rows)
    if len(everything) <= (UNPARTED_TALL if is_tall else UNPARTED):
        return [_part(everything, name_of, is_open=True)] if everything else []
    least = A_TALL_PART if is_tall else A_PART
    near = [row for row in everything if at_hand(row)]
    rest = [row for row in everything if not at_hand(row)]
    if opens and not near:
        near, rest = rest[:least], rest[least:]
    size = max(least, -(-len(rest) // MOST_PARTS))
    parts = [
        _part(rest[at : at + size], name_of, is_open=False)
        for at in range(0, len(rest), size)
    ]
    return [_part(near, name_of, is_open=True), *parts] if near else parts


def _part(
    rows: Sequence[Row], name_of: Callable[[Row], str], *, is_open: bool
) -> Part[Row]:
    return Part(rows, name_of(rows[0]), name_of(rows[-1]), is_open)


def in_two(text: str) -> tuple[str, str]:
    """Part a long text where a sentence ends: what is read at once, and the rest."""
    if len(text) <= WHOLE_TEXT:
        return text, ""
    start = text[:AT_ONCE]
    ends = [start.rfind(mark) + 1 for mark in (". ", "? ", "! ", "\n")]
    at = max(ends) or start.rfind(" ") + 1 or AT_ONCE
    return text[:at].rstrip(), text[at:].strip()


def is_named(name: str, sought: str) -> bool:
    """Tell whether a name holds what was sought, accents and case aside."""
    return bool(folded(sought)) and folded(sought) in folded(name)


class NameTicks(forms.CheckboxSelectMultiple):
    """A box to tick for each of many: the ticked and the found come first."""

    template_name = "field/name_ticks.html"
    in_parts = True
    sought = ""

    def value_from_datadict(
        self, data: Mapping[str, Any], files: Any, name: str
    ) -> Any:
        self.sought = str(data.get(SOUGHT) or "").strip()
        return super().value_from_datadict(data, files, name)

    def get_context(
        self, name: str, value: Any, attrs: dict[str, Any] | None
    ) -> dict[str, Any]:
        context = super().get_context(name, value, attrs)
        groups = context["widget"]["optgroups"]
        options = [option for _name, options, _index in groups for option in options]
        context["widget"] |= {
            "parts": parted(options, _label, self._is_at_hand, opens=self.is_required),
            "is_long": len(options) > UNPARTED,
            "sought": self.sought,
        }
        return context

    def _is_at_hand(self, option: dict[str, Any]) -> bool:
        return option["selected"] or is_named(_label(option), self.sought)


def _label(option: dict[str, Any]) -> str:
    return str(option["label"])


class NamedRows(ModelChoiceIterator):  # type: ignore[type-arg]
    """The rows on offer with their names, told apart: one query."""

    def __iter__(self) -> Iterator[Any]:
        rows = marked(self.queryset)
        labels = labels_of(rows)
        for row in rows:
            yield ModelChoiceIteratorValue(row.pk, row), labels[row.pk]


class TicksByName(forms.ModelMultipleChoiceField):  # type: ignore[type-arg]
    """Rows to tick; those of one name are told apart as `ByName` does."""

    widget = NameTicks
    iterator = NamedRows
