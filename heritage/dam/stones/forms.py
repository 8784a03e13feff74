"""The form of the stones."""

from datetime import datetime
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from heritage.common.forms import RecordForm
from heritage.common.moments import LocalMoment
from heritage.dam.models import Ret, StoneMove, StoneWay
from heritage.dam.stones import services
from heritage.machines.models import Stone
from heritage.people.models import User


class StoneChoice(forms.ModelChoiceField):  # type: ignore[type-arg]
    """A choice of stones, each with what one of them weighs."""

    def label_from_instance(self, stone: Any) -> str:
        return f"{stone}, {stone.weight_kg} kg"


class StonesForm(RecordForm[StoneMove]):
    """Stones of one size that were put on the flax, or taken off it."""

    way = forms.ChoiceField(
        label=_("What was done"), choices=StoneWay, widget=forms.RadioSelect
    )

    class Meta:
        model = StoneMove
        fields = ["way", "how_many", "stone", "at"]
        field_classes = {"at": LocalMoment}
        widgets = {"at": LocalMoment.widget}
        labels = {"stone": _("Which stones")}

    def __init__(self, *args: Any, ret: Ret, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.ret = ret
        rows = Stone.objects.of(ret.dam.demonstration).heaviest_first()
        usual = ret.dam.stone_kg
        if not rows:
            del self.fields["stone"]
            words = _("Of %s kg, this dam's usual.") % usual
            self.fields["how_many"].help_text = words
            return
        nearest = min(rows, key=lambda one: abs(one.weight_kg - usual))
        field = StoneChoice(rows, label=_("Which stones"), empty_label=None)
        self.initial["stone"] = nearest.pk
        self.fields["stone"] = field
        self.order_fields(self.Meta.fields)

    def values(self) -> dict[str, Any]:
        """Return what was typed; without a list they are of the usual weight."""
        return {name: self.cleaned_data.get(name) for name in self.Meta.fields}

    def write(self, *, by: User, now: datetime) -> StoneMove:
        return services.move_stones(ret=self.ret, by=by, now=now, **self.values())
