"""Forms of the dam's book."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from crispy_forms.layout import HTML
from django import forms
from django.utils.translation import gettext_lazy as _

from heritage.common.folding import layout_of
from heritage.common.forms import RecordForm, ServiceForm
from heritage.common.moments import LocalMoment
from heritage.dam import services
from heritage.dam.filling.selectors import CanGoIn, Refilled
from heritage.dam.filling.services import correct_filling
from heritage.dam.models import WENT, Dam, Ret
from heritage.people.models import User
from heritage.season.models import Demonstration
from heritage.season.services import change_demonstration

WHICH_LOTS = """{% load i18n %}
<details{% if form.is_bound or form.initial.beets %} open{% endif %}>
<summary>{% translate "Which lots?" %}</summary>
<p>{% translate "Left empty, the oldest go in first." %}</p>"""


class DamForm(RecordForm[Dam]):
    """The measures of a dam."""

    class Meta:
        model = Dam
        fields = [
            "name",
            "top_length_m",
            "top_width_m",
            "bottom_length_m",
            "bottom_width_m",
            "depth_m",
            "stone_density",
            "stone_kg",
        ]
        help_texts = {
            "depth_m": _("Printed rules keep a dam to 4 feet, 1.22 m."),
            "stone_kg": _(
                "Weigh a few. Smaller is safer: the stones page says who may lift."
            ),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in self.Meta.fields[1:]:
            self.fields[name].widget.attrs["inputmode"] = "decimal"

    def write(self) -> Dam:
        return services.keep_dam(dam=self.instance, values=self.values())


class FillForm(RecordForm[Ret]):
    """The beginning of a ret."""

    class Meta:
        model = Ret
        fields = ["began_at", "beets", "why_more", "water_depth_m", "beet_dry_kg"]
        field_classes = {"began_at": LocalMoment}
        widgets = {"began_at": LocalMoment.widget}
        help_texts = {
            "began_at": _("When the water closed over the flax."),
            "water_depth_m": _("Over the floor of the dam, with the flax in it."),
        }

    mixed = forms.BooleanField(
        label=_("They're mixed in the dam"),
        required=False,
        help_text=_("Then they are one lot from now on, and can't be told apart."),
    )
    sure = forms.BooleanField(label=_("It's right to fill it now"), required=False)

    def __init__(self, *args: Any, lots: Sequence[CanGoIn], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.lots = {f"lot_{one.lot.pk}": one.lot for one in lots}
        self.fields |= {f"lot_{one.lot.pk}": _beets_of(one) for one in lots}
        # Asked for all the same: the beets of each lot are another way to say it.
        self.fields["beets"].required = not lots
        self.fields["beets"].says_optional = False  # type: ignore[attr-defined]
        if len(lots) < 2:
            del self.fields["mixed"]
        self.helper = layout_of(
            "began_at", "beets", *self._asked_of_lots(), "why_more", "water_depth_m",
            "beet_dry_kg", "sure",
        )  # fmt: skip

    def _asked_of_lots(self) -> list[Any]:
        if not self.lots:
            return []
        mixed = ["mixed"] if "mixed" in self.fields else []
        return [HTML(WHICH_LOTS), *self.lots, *mixed, HTML("</details>")]

    def clean(self) -> dict[str, Any]:
        """Count the lots together, where they are told."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        shares = {lot: data.get(name) or 0 for name, lot in self.lots.items()}
        data["lots"] = {lot: beets for lot, beets in shares.items() if beets} or None
        told = sum(shares.values())
        if told and not data.get("beets"):
            data["beets"] = told
        if told and data["beets"] != told:
            words = _("The lots below come to %d: please check.") % told
            self.add_error("beets", words)
        if not data.get("beets") and "beets" not in self.errors:
            self.add_error("beets", _("Enter how many beets went in."))
        return data

    def write(self, *, now: datetime, by: User | None = None) -> Ret:
        return services.fill(
            dam=self.instance.dam,
            lots=self.cleaned_data["lots"],
            mixed=self.cleaned_data.get("mixed", False),
            sure=self.cleaned_data["sure"],
            by=by,
            now=now,
            **self.values(),
        )

    def ask_only_if_asked(self) -> None:
        """Leave the tick out unless there was a question, or it was given."""
        if "sure" not in self.errors and not self.data.get("sure"):
            del self.fields["sure"]
            self.helper.layout.fields.remove("sure")


def _beets_of(one: CanGoIn) -> forms.IntegerField:
    words = [_("%d on the cart") % one.on_cart] if one.on_cart else []
    words += [_("%d in the field") % one.in_field] if one.in_field else []
    label = f"{one.lot}: {', '.join(str(each) for each in words)}"
    field = forms.IntegerField(label=label, required=False, min_value=0)
    field.widget.attrs["inputmode"] = "numeric"
    return field


class RefillForm(ServiceForm):
    """What went into a dam, where it was written down wrongly."""

    mixed = forms.BooleanField(
        label=_("They're mixed in the dam"),
        required=False,
        help_text=_("Then they are one lot from then on."),
    )
    why_more = forms.CharField(
        label=_("Why there are more than the tally has"),
        max_length=200,
        required=False,
        help_text=_("Only if a lot had fewer."),
    )
    reason = forms.CharField(
        label=_("Why it was wrong"),
        max_length=200,
        help_text=_("What was entered first is kept too."),
    )

    def __init__(self, *args: Any, lots: Sequence[Refilled], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.lots = {f"lot_{one.lot.pk}": one.lot for one in lots}
        self.fields |= {f"lot_{one.lot.pk}": _refilled(one) for one in lots}
        self.order_fields(list(self.lots))

    def write(self, *, ret: Ret, by: User, now: datetime) -> Ret:
        data = self.cleaned_data
        told = {lot: data.get(name) or 0 for name, lot in self.lots.items()}
        return correct_filling(
            ret=ret,
            shares={lot: beets for lot, beets in told.items() if beets},
            reason=data["reason"],
            mixed=data["mixed"],
            why_more=data["why_more"],
            by=by,
            now=now,
        )


def _refilled(one: Refilled) -> forms.IntegerField:
    words = _("%(lot)s: %(left)d more were there") if one.left else "%(lot)s"
    label = words % {"lot": one.lot, "left": one.left}
    field = forms.IntegerField(label=label, required=False, min_value=0)
    field.initial = one.inside or None
    field.widget.attrs["inputmode"] = "numeric"
    return field


class WeighedForm(RecordForm[Demonstration]):
    """The beets that were weighed, in place of a weight that was only reckoned."""

    class Meta:
        model = Demonstration
        fields = ["weighed_beets", "weighed_kg"]

    def write(self) -> Demonstration:
        return change_demonstration(demonstration=self.instance, **self.values())


class LiftForm(ServiceForm):
    """The lifting of a ret."""

    lifted_at = LocalMoment(
        label=_("Lifted at"), help_text=_("When the last beet was out of the dam.")
    )
    why_untested = forms.CharField(
        label=_("Why, if no test says so"),
        max_length=200,
        required=False,
        help_text=_("Needed unless a test found that the wood draws free."),
    )

    def write(self, *, ret: Ret, now: datetime, by: User | None = None) -> Ret:
        return services.lift(ret=ret, by=by, now=now, **self.cleaned_data)


class WentForm(ServiceForm):
    """What became of spent water, by whose leave and when."""

    went = forms.ChoiceField(
        label=_("What became of it"), choices=WENT, widget=forms.RadioSelect
    )
    leave = forms.CharField(
        label=_("Who allowed it"),
        max_length=200,
        help_text=_("The office that gave it, the day of its answer, its reference."),
    )
    water_to = forms.CharField(
        label=_("Where it went"),
        max_length=200,
        required=False,
        help_text=_("Which field or place, and how."),
    )
    went_at = LocalMoment(label=_("When"))
    rest_until = forms.DateField(
        label=_("The dam rests until"),
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        help_text=_("Your own plan; filling it sooner is asked about."),
    )

    def write(self, *, ret: Ret, now: datetime) -> Ret:
        return services.let_water_go(ret=ret, now=now, **self.cleaned_data)


class CleanForm(ServiceForm):
    """Clean water in the dam again."""

    clean_at = LocalMoment(
        label=_("Clean water in the dam since"),
        help_text=_("When it was refilled, or found to be clear."),
    )

    def write(self, *, ret: Ret, now: datetime) -> Ret:
        return services.make_clean(ret=ret, now=now, **self.cleaned_data)
