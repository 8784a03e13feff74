"""Forms of more than one part: beets by lot, kilograms and the water in them."""

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.utils.translation import gettext_lazy as _

from heritage.lots.forms import Folds
from heritage.lots.models import Lot
from heritage.lots.selectors import LotAt


class Figure(forms.DecimalField):
    """A number with a decimal point or comma."""

    widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
    default_error_messages = {"invalid": _("Enter a number, like 12.5.")}

    def to_python(self, value: Any) -> Decimal | None:  # type: ignore[override]
        return super().to_python(str(value or "").replace(",", "."))


class Kilograms(Figure):
    """A weight in kilograms, handed on in grams; nought is nothing weighed."""

    def clean(self, value: Any) -> int | None:
        kg = super().clean(value)
        if kg is None:
            return None
        if kg < 0 or kg > 20_000:
            raise ValidationError(_("Enter a weight from 0 to 20,000 kg."))
        return round(kg * 1000) or None


class Moisture(Figure):
    """The water in something, of its whole weight."""

    default_validators = [
        MinValueValidator(0, _("Write the moisture as a percentage, like 12.")),
        MaxValueValidator(80, _("Write the moisture as a percentage, like 12.")),
    ]


class BeetsForm(Folds):
    """So many beets of each lot that is there; all of them unless it is changed.

    Work that takes some of them alone (``takes_all``) fills in nothing of several.
    """

    def __init__(
        self,
        *args: Any,
        lots: Sequence[LotAt],
        takes_all: bool = True,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.lots = {f"lot_{one.lot.pk}": one for one in lots if one.beets > 0}
        fills_in = takes_all or len(self.lots) == 1
        for name, one in self.lots.items():
            self.fields[name] = forms.IntegerField(
                label=_("Beets of %(lot)s (%(beets)d there)")
                % {"lot": one.lot, "beets": one.beets},
                min_value=0,
                required=False,
                initial=one.beets if fills_in else None,
                widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
            )
        self.order_fields(self.lots)

    def beets(self) -> dict[Lot, int]:
        """Return the beets that were typed, by lot."""
        return {
            one.lot: self.cleaned_data[name] or 0 for name, one in self.lots.items()
        }


class WorthForm(forms.Form):
    """How fine the yarn and how heavy the cloth that the account reckons with."""

    lea = Figure(
        label=_("Yarn, lea (300 yards to the pound)"),
        min_value=1,
        max_value=300,
        required=False,
    )
    g_per_m2 = Figure(
        label=_("Cloth, grams a square metre"),
        min_value=30,
        max_value=2_000,
        required=False,
    )

    def chosen(self) -> dict[str, float]:
        """Return what was typed and can be."""
        if not self.is_valid():
            return {}
        return {name: float(x) for name, x in self.cleaned_data.items() if x}
