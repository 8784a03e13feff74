"""Forms of the store."""

from datetime import datetime
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from heritage.common.by_name import ByName
from heritage.common.forms import ServiceForm
from heritage.common.moments import LocalMoment
from heritage.fibre.forms import Figure, Kilograms, Moisture
from heritage.fibre.models import Air, DryBy, DryTest, SmellOf, StoreCheck
from heritage.fibre.stock.selectors import take_stock
from heritage.fibre.store import services
from heritage.lots.models import Lot, Place
from heritage.people.models import User
from heritage.season.models import Demonstration

HAND_FOUND = [("", _("not tried")), ("yes", _("it cracked")), ("no", _("it bent"))]


class DryTestForm(ServiceForm):
    """How dry a lot was found, in one of four ways."""

    lot = ByName(Lot.objects.none(), label=_("Lot"))
    at = LocalMoment(label=_("Tested at"))
    way = forms.ChoiceField(label=_("How"), choices=DryBy, widget=forms.RadioSelect)
    hand = forms.ChoiceField(
        label=_("By hand: the wood"), choices=HAND_FOUND, required=False
    )
    before_g = Kilograms(
        label=_("By weight or oven: before, kg"),
        required=False,
        help_text=_("0.250 for a sample of 250 grams."),
    )
    before_pct = Moisture(required=False, label=_("By weight: its moisture before, %"))
    after_g = Kilograms(label=_("By weight or oven: after, kg"), required=False)
    moisture_pct = Moisture(required=False, label=_("By meter: moisture, %"))
    note = forms.CharField(label=_("Note"), max_length=300, required=False)

    field_of = {"is_dry": "hand"}

    def __init__(self, *args: Any, demonstration: Demonstration, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        stock = take_stock(demonstration)
        there = [one.lot.pk for one in stock.at(Place.GRASS, Place.STORE)]
        rows = Lot.objects.of(demonstration).filter(pk__in=there)
        self.offer("lot", rows.with_its_pull().by_number())
        if len(there) == 1:
            self.fields["lot"].initial = there[0]

    def write(self, *, by: User, now: datetime) -> DryTest:
        values = dict(self.cleaned_data)
        hand = values.pop("hand")
        is_dry = {"yes": True, "no": False}.get(hand)
        return services.keep_dry_test(is_dry=is_dry, by=by, now=now, **values)


class StoreCheckForm(ServiceForm):
    """One look at the store."""

    at = LocalMoment(label=_("Looked at"))
    smell = forms.ChoiceField(
        label=_("It smells"), choices=SmellOf, widget=forms.RadioSelect
    )
    air = forms.ChoiceField(label=_("Air"), choices=Air, widget=forms.RadioSelect)
    temp_c = Figure(
        label=_("Warmest inside, °C"),
        min_value=-30,
        max_value=200,
        max_digits=4,
        decimal_places=1,
        required=False,
        help_text=_("On a thermometer pushed in, never by hand."),
    )
    moisture_pct = Moisture(
        required=False,
        label=_("Dampest of it, % water"),
        help_text=_("By a meter."),
    )
    note = forms.CharField(label=_("Note"), max_length=300, required=False)

    def write(
        self, *, demonstration: Demonstration, by: User, now: datetime
    ) -> StoreCheck:
        return services.keep_store_check(
            demonstration=demonstration, by=by, now=now, **self.cleaned_data
        )
