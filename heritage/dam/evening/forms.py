"""Forms of the filling evening: its plan, and a load that came."""

import uuid
from collections.abc import Sequence
from datetime import datetime
from typing import Any

from crispy_forms.layout import HTML, Row
from django import forms
from django.utils.formats import date_format
from django.utils.translation import gettext_lazy as _

from heritage.common.folding import layout_of
from heritage.common.forms import RecordForm, ServiceForm
from heritage.common.moments import LocalMoment
from heritage.common.parting import NameTicks
from heritage.dam.evening import services
from heritage.dam.evening.selectors import LotPart
from heritage.dam.filling.selectors import CanGoIn
from heritage.dam.models import FillEvening, FillLoad
from heritage.lots.models import Lot
from heritage.people.models import User

MORE = """{% load i18n %}<details{% if form.errors %} open{% endif %}>
<summary>{% translate "Carts and hands" %}</summary>"""
APART = [("", _("kept apart in the dam")), ("on", _("mixed in the dam, as one lot"))]
WATER = [("", _("let in after the flax")), ("on", _("in the dam before the flax"))]


class YesNo(forms.TypedChoiceField):
    """A choice between two ways, neither of them wrong."""

    widget = forms.RadioSelect

    def __init__(self, **kwargs: Any) -> None:
        kwargs |= {"required": False, "coerce": bool, "empty_value": False}
        super().__init__(**kwargs)
        self.says_optional = False

    def prepare_value(self, value: Any) -> Any:
        return "on" if value in (True, "on") else ""


class PlanForm(RecordForm[FillEvening]):
    """The plan of a filling evening."""

    lots = forms.ModelMultipleChoiceField(
        Lot.objects.none(),
        label=_("Lots to go in"),
        widget=NameTicks,
        error_messages={"required": _("Choose at least one lot.")},
    )
    mixed = YesNo(
        label=_("Lots of different days"),
        choices=APART,
        help_text=_("Mixed, they are one lot. Spon's Encyclopaedia says never to mix."),
    )
    water_first = YesNo(label=_("The water"), choices=WATER)
    sure = forms.BooleanField(label=_("It's right to fill it then"), required=False)

    class Meta:
        model = FillEvening
        fields = [
            "starts_at",
            "mixed",
            "water_first",
            "load_beets",
            "distance_m",
            "speed_kmh",
            "carts",
            "loaders",
            "placers",
            "weigh_down_min",
        ]
        field_classes = {"starts_at": LocalMoment}
        widgets = {"starts_at": LocalMoment.widget}

    def __init__(self, *args: Any, there: Sequence[CanGoIn], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field: Any = self.fields["lots"]
        chosen = self.instance.lots.all() if self.instance.pk else Lot.objects.none()
        beets = {one.lot.pk: one.beets for one in there}
        keys = {*beets, *(lot.pk for lot in chosen)}
        field.queryset = Lot.objects.filter(pk__in=keys).with_its_pull().by_number()
        field.label_from_instance = lambda lot: _label(lot, beets.get(lot.pk, 0))
        if self.instance.pk:
            self.initial.setdefault("lots", [lot.pk for lot in chosen])
        for name in ("load_beets", "distance_m", "carts", "loaders", "placers"):
            self.fields[name].widget.attrs["inputmode"] = "numeric"
        self.helper = layout_of(
            "starts_at", "lots", "mixed", "water_first",
            Row("load_beets", "distance_m"), "sure",
            HTML(MORE), Row("speed_kmh", "carts"), Row("loaders", "placers"),
            "weigh_down_min", HTML("</details>"),
        )  # fmt: skip

    def write(self) -> FillEvening:
        return services.plan_evening(
            evening=self.instance,
            values=self.values(),
            chosen=self.cleaned_data["lots"],
            sure=self.cleaned_data["sure"],
        )

    def submit(self, **given: Any) -> bool:
        """Show the tick only where there was a question, or it was given."""
        done = super().submit(**given)
        if "sure" not in self.errors and not self.data.get("sure"):
            del self.fields["sure"]
            self.helper.layout.fields.remove("sure")
        return done


def _label(lot: Lot, beets: int) -> str:
    words = _("%(lot)s: %(beets)d beets")
    told = str(words) % {"lot": lot, "beets": beets}
    if lot.gathering is None:
        return told
    pulled = lot.gathering.starts_at.astimezone(lot.demonstration.zone)
    return str(_("%(told)s, pulled %(day)s")) % {
        "told": told,
        "day": date_format(pulled, "j M"),
    }


class LoadForm(ServiceForm):
    """A load that came to the dam; pressed twice, it is one."""

    lot = forms.ModelChoiceField(
        Lot.objects.none(),
        label=_("Lot"),
        empty_label=None,
        widget=forms.RadioSelect,
    )
    beets = forms.IntegerField(label=_("Beets"), min_value=1, max_value=2000)
    at = LocalMoment(label=_("At the dam at"))
    key = forms.UUIDField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, parts: Sequence[LotPart], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.offer("lot", Lot.objects.filter(pk__in=[part.lot.pk for part in parts]))
        self.fields["beets"].widget.attrs["inputmode"] = "numeric"
        self.initial.setdefault("key", uuid.uuid4())
        if len(parts) < 2:
            self.fields["lot"].widget = forms.HiddenInput()

    def write(self, *, evening: FillEvening, by: User, now: datetime) -> FillLoad:
        return services.tick_load(evening=evening, by=by, now=now, **self.cleaned_data)
