"""Forms that move lots, part them, put them together and correct a move."""

import uuid
from collections.abc import Callable, Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any

from crispy_forms.helper import FormHelper
from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from heritage.common.by_name import ByName
from heritage.common.folding import Fold, layout_of
from heritage.common.forms import ServiceForm
from heritage.common.moments import LocalMoment
from heritage.lots import services
from heritage.lots.models import IN_BEETS, IN_GRAMS, Loss, Lot, Move, Place, Rippled
from heritage.lots.selectors import LotAt, LotLine, ways_from
from heritage.lots.services import Amount
from heritage.lots.words import beets_in_words, kilograms
from heritage.people.models import User, Volunteer

SHOWN_LOTS = 4
MOST_KG = Decimal(100_000)


class Kilograms(forms.DecimalField):
    """A weight as the scale says it, with a decimal point or comma, to the gram."""

    widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
    says_optional = False

    def __init__(self, **options: Any) -> None:
        options = {"min_value": Decimal("0.001"), "max_value": MOST_KG} | options
        super().__init__(decimal_places=3, required=False, **options)

    def to_python(self, value: Any) -> Any:
        return super().to_python(str(value).replace(",", ".") if value else value)


def moisture_field() -> forms.DecimalField:
    return forms.DecimalField(
        label=_("Water in it, %"),
        required=False,
        min_value=0,
        max_value=80,
        decimal_places=1,
        help_text=_("Leave it empty if nobody measured: we then assume 12 %."),
        widget=forms.NumberInput(attrs={"inputmode": "decimal", "step": "0.1"}),
    )


def beets_field(label: Any, **options: Any) -> forms.IntegerField:
    options = {"required": False, "min_value": 1} | options
    widget = forms.NumberInput(attrs={"inputmode": "numeric"})
    field = forms.IntegerField(label=label, widget=widget, **options)
    # Some answers need it, so it is not called optional.
    field.says_optional = False  # type: ignore[attr-defined]
    return field


def _changes_any(names: Sequence[str]) -> Callable[[Any], bool]:
    """Tell whether something was typed there; what we put there says its own sum."""
    return lambda form: any(
        str(form[name].value() or "") != str(form[name].initial or "") for name in names
    )


class Folds(ServiceForm):
    """Folds away what is seldom wanted, and all but the first few of many lots."""

    seldom: Sequence[str] = ()
    seldom_words: Any = _("More")

    @property
    def helper(self) -> FormHelper:
        """Lay it out as it stands, so that nothing wrong is folded away."""
        others = [name for name in self.fields if name.startswith("lot_")][SHOWN_LOTS:]
        seldom = [name for name in self.seldom if name in self.fields]
        rows: list[Any] = []
        for name in self.fields:
            if name == next(iter(others), ""):
                words = self._words_of(others)
                rows.append(Fold(words, *others, is_open=_changes_any(others)))
            elif name not in (*others, *seldom):
                rows.append(name)
        folded = [Fold(self.seldom_words, *seldom)] if seldom else []
        return layout_of(*rows, *folded)

    def _words_of(self, others: Sequence[str]) -> str:
        beets = sum(self[name].initial or 0 for name in others)
        if not beets:
            return _("Other lots (%d)") % len(others)
        return _("Other lots (%(lots)d), all %(beets)d beets of them") % {
            "lots": len(others),
            "beets": beets,
        }


class Weighs(Folds):
    """Beets or a weight, and how they make an amount."""

    def amount(self, there: int, place: str) -> Amount:
        """Return what was typed; nothing typed is all that is there."""
        data = self.cleaned_data
        weighed, beets = data.get("weight_kg"), data.get("beets")
        if weighed is None and place in IN_GRAMS:
            return Amount(dry_g=there)
        grams = None if weighed is None else int(weighed * 1000)
        return Amount(beets, grams, data.get("moisture_pct"))


class MoveForm(Weighs):
    """So much of a lot, from where it is to somewhere else."""

    field_of = {"weighed_g": "weight_kg"}
    seldom_words = _("Weight, loss, time and more")

    key = forms.UUIDField(widget=forms.HiddenInput)
    target = forms.ChoiceField(label=_("Where to"), widget=forms.RadioSelect)
    beets = beets_field(_("Beets"))
    weight_kg = Kilograms(label=_("Weight, kg"))
    moisture_pct = moisture_field()
    loss = forms.ChoiceField(
        label=_("What became of it"),
        required=False,
        choices=[("", _("It isn't lost")), *Loss.choices],
    )
    at = LocalMoment(label=_("When"))
    who = ByName(Volunteer.objects.none(), label=_("Who did it"), required=False)
    note = forms.CharField(label=_("Note"), max_length=200, required=False)
    sure = forms.BooleanField(label=_("I've checked: it's right"), required=False)

    def __init__(
        self, *args: Any, line: LotLine, source: Place, there: int, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.lot, self.source, self.there = line.lot, source, there
        targets = ways_from(source)
        self.fields["target"].choices = [  # type: ignore[attr-defined]
            (place.value, place.label) for place in targets
        ]
        self.only_lost = targets == (Place.LOST,)
        if len(targets) == 1:
            self.fields["target"].initial = targets[0].value
        people = Volunteer.objects.of(line.lot.demonstration).active()
        self.offer("who", people.by_name())
        self.fields["key"].initial = uuid.uuid4
        self._ask_in_its_unit(targets)
        shown = ["target", "beets"]
        if source in IN_GRAMS:
            shown += ["weight_kg", "moisture_pct", "sure"]
        if self.only_lost:
            self.fields["target"].widget = forms.HiddenInput()
            self.fields["beets"].label = _("How many are lost or damaged")
            self.fields["loss"].choices = [("", _("choose")), *Loss.choices]  # type: ignore[attr-defined]
            shown.append("loss")
        order = ("key", "target", "beets", "weight_kg", "moisture_pct", "sure", "loss")
        self.order_fields(order)
        self.seldom = [name for name in self.fields if name not in {"key", *shown}]

    def _ask_in_its_unit(self, targets: Sequence[Place]) -> None:
        """Ask for beets where there are beets, and a weight where one may be wanted."""
        if self.source in IN_GRAMS:
            del self.fields["beets"]
            words = _("Leave it empty to move all of it, %s kg dry.")
            self.fields["weight_kg"].help_text = words % kilograms(self.there)
        else:
            if self.there and targets != (Place.LOST,):
                self.fields["beets"].initial = self.there
            self.fields["weight_kg"].help_text = _(
                "Only of what goes to the brake, or of seed."
            )
        if not set(targets) & set(IN_GRAMS) and self.source not in IN_GRAMS:
            del self.fields["weight_kg"], self.fields["moisture_pct"]
        if Place.LOST not in targets:
            del self.fields["loss"]

    def clean(self) -> dict[str, Any]:
        """Ask for what the place it goes to wants, and leave the rest out."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        target = data.get("target", "")
        if target == Place.SEED and self.source in IN_BEETS:
            data["beets"] = None
        if target in (Place.BRAKE, Place.SEED) and self.source in IN_BEETS:
            if not data.get("weight_kg") and "weight_kg" not in self.errors:
                self.add_error("weight_kg", _("Enter what the scale says."))
        elif self.source not in IN_GRAMS:
            data["weight_kg"] = data["moisture_pct"] = None
        if self._wants_beets(target) and not data.get("beets"):
            self.add_error("beets", _("Enter how many beets."))
        if target == Place.LOST and not data.get("loss"):
            self.add_error("loss", _("Say what became of it."))
        return data

    def _wants_beets(self, target: str) -> bool:
        asks = "beets" in self.fields and "beets" not in self.errors
        return asks and target != Place.SEED

    def write(self, *, by: User, now: datetime) -> Move:
        data, target = self.cleaned_data, self.cleaned_data["target"]
        found = Loss.MISCOUNTED if self.source == Place.LOST else ""
        return services.move(
            lot=self.lot,
            source=self.source,
            target=target,
            amount=self.amount(self.there, self.source),
            loss=data.get("loss", "") if target == Place.LOST else found,
            at=data["at"],
            who=data["who"],
            note=data["note"],
            key=data["key"],
            sure=data["sure"],
            by=by,
            now=now,
        )

    def ask_only_if_asked(self) -> None:
        """Leave the tick out unless there was a question, or it was given.

        The question stands at the weight it asks about, not at the tick.
        """
        asked = self.errors.pop("sure", None)
        if asked:
            self.add_error("weight_kg", asked.as_data())
        elif not self.data.get("sure"):
            del self.fields["sure"]


class TakesParts(Weighs):
    """Beets or a weight of each of some lots that are in one place."""

    def __init__(self, *args: Any, there: Sequence[LotAt], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.there = {f"lot_{one.lot.pk}": one for one in there}
        self.fields |= {name: _part_of(one) for name, one in self.there.items()}
        self.order_fields(list(self.there))

    def parts(self) -> list[tuple[Lot, Amount]]:
        """Return how much of which lot was typed."""
        typed = ((one, self.cleaned_data.get(name)) for name, one in self.there.items())
        return [
            (one.lot, Amount(beets=much) if one.beets else Amount(dry_g=_grams(much)))
            for one, much in typed
            if much
        ]


def _grams(weight_kg: Decimal) -> int:
    return int(weight_kg * 1000)


def _part_of(one: LotAt) -> forms.Field:
    if one.beets:
        return beets_field(_("%(lot)s: %(beets)s") % {
            "lot": one.lot, "beets": beets_in_words(one.beets),
        })  # fmt: skip
    words = {"lot": one.lot, "kg": kilograms(one.dry_g)}
    return Kilograms(label=_("%(lot)s: %(kg)s kg dry") % words)


class TogetherForm(TakesParts):
    """So much of some lots, which are one lot from then on."""

    key = forms.UUIDField(widget=forms.HiddenInput)
    at = LocalMoment(label=_("When"))
    note = forms.CharField(label=_("Note"), max_length=200, required=False)

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or self.cleaned_data
        if not self.errors and len(self.parts()) < 2:
            raise ValidationError(_("Enter how much of two lots or more."))
        return data

    def write(self, *, place: str, by: User, now: datetime) -> Lot:
        data = self.cleaned_data
        return services.put_together(
            parts=self.parts(), place=place, at=data["at"], note=data["note"],
            key=data["key"], by=by, now=now,
        )  # fmt: skip


class PartForm(TakesParts):
    """So much of a lot, which is a lot of its own from then on."""

    key = forms.UUIDField(widget=forms.HiddenInput)
    at = LocalMoment(label=_("When"))
    note = forms.CharField(label=_("Note"), max_length=200, required=False)

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or self.cleaned_data
        if not self.errors and not self.parts():
            raise ValidationError(_("Enter how much of it."))
        return data

    def write(self, *, place: str, by: User, now: datetime) -> Lot:
        data = self.cleaned_data
        [(lot, amount)] = self.parts()
        return services.part(
            lot=lot, amount=amount, place=place, at=data["at"], note=data["note"],
            key=data["key"], by=by, now=now,
        )  # fmt: skip


class CorrectForm(ServiceForm):
    """Why a move is taken back."""

    reason = forms.CharField(
        label=_("Why it was wrong"),
        max_length=200,
        help_text=_("The move and its correction are both kept."),
    )

    def write(self, *, move: Move, by: User, now: datetime) -> Move:
        return services.correct(move=move, by=by, now=now, **self.cleaned_data)


class SettleForm(ServiceForm):
    """Which count was wrong, where more was moved than the tally has."""

    note = forms.CharField(
        label=_("Which count was wrong, and why"),
        max_length=200,
        help_text=_("It counts the missing beets in. The tally and pay stay."),
    )

    def write(self, *, lot: Lot, by: User, now: datetime) -> Move:
        return services.settle(lot=lot, by=by, now=now, **self.cleaned_data)


class RippledForm(ServiceForm):
    """What is done with the seed of a lot."""

    rippled = forms.ChoiceField(
        label=_("Its seed"), choices=Rippled, widget=forms.RadioSelect
    )

    def write(self, *, lot: Lot) -> Lot:
        return services.choose_rippling(lot=lot, **self.cleaned_data)
