"""Asking about a lift, and writing down the stones."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from heritage.calc.lifting import Duration, Grip, Reach, Who, Zone
from heritage.common.forms import RecordForm
from heritage.machines.lifting.selectors import (
    WHY_NOT,
    LiftAsked,
    Measured,
    StoneHolding,
)
from heritage.machines.lifting.words import (
    ANYBODY,
    REACH_WORDS,
    WHO_WORDS,
    ZONE_WORDS,
)
from heritage.machines.models import Stone

ZONES = [(zone.value, words) for zone, words in ZONE_WORDS.items()]
REACHES = [(reach.value, words) for reach, words in REACH_WORDS.items()]
WHOSE = [
    (ANYBODY, _("anybody: the smaller figure")),
    *((who.value, WHO_WORDS[who]) for who in Who),
]
HOW_OFTEN = [
    ("0.5", _("now and then, up to 30 an hour")),
    ("2", _("once or twice a minute")),
    ("8", _("up to 8 times a minute")),
    ("13", _("more often than that")),
]
TWISTS = [("0", _("none")), ("45", _("half way to the side")), ("90", _("to the side"))]
DURATIONS = [
    (Duration.SHORT.value, _("up to an hour")),
    (Duration.MODERATE.value, _("up to two hours")),
    (Duration.LONG.value, _("up to eight hours")),
]
GRIPS = [
    (Grip.POOR.value, _("poor, as on a bare stone")),
    (Grip.FAIR.value, _("fair")),
    (Grip.GOOD.value, _("good, as with handles")),
]
USUAL = StoneHolding()
TAPE = ("out", "start_cm", "end_cm")
FOR_EQUATION = (*TAPE, "duration", "grip")
PAIRS = (
    ("weight_kg", "people"),
    ("start", "end"),
    ("reach", "who"),
    ("per_minute", "twist_deg"),
)


class HoldingForm(forms.Form):
    """How stones are held: from where to where, how far out, and by whom."""

    start = forms.ChoiceField(
        label=_("Hands at the start"), choices=ZONES, initial=USUAL.start.value
    )
    end = forms.ChoiceField(
        label=_("Hands at the end"), choices=ZONES, initial=USUAL.end.value
    )
    reach = forms.ChoiceField(label=_("Held"), choices=REACHES)
    who = forms.ChoiceField(label=_("Who lifts"), choices=WHOSE)

    def holding(self) -> StoneHolding:
        """Return what was chosen; what is not known is as usual."""
        if not self.is_bound or not self.is_valid():
            return StoneHolding()
        data = self.cleaned_data
        return StoneHolding(
            Zone(data["start"]), Zone(data["end"]), Reach(data["reach"]), data["who"]
        )


class LiftForm(HoldingForm):
    """One lift: the stone, the hands, the people, and what makes it harder."""

    weight_kg = forms.FloatField(
        label=_("The stone's weight in kilograms"), min_value=0.1, max_value=2000
    )
    people = forms.TypedChoiceField(
        label=_("How many lift it together"),
        choices=[(1, _("one")), (2, _("two")), (3, _("three"))],
        coerce=int,
    )
    per_minute = forms.TypedChoiceField(
        label=_("How often"), choices=HOW_OFTEN, coerce=float
    )
    twist_deg = forms.TypedChoiceField(
        label=_("How far the body turns"), choices=TWISTS, coerce=float
    )
    why_not = forms.MultipleChoiceField(
        label=_("Tick what applies"),
        choices=[(name, why[0]) for name, why in WHY_NOT.items()],
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    out = forms.FloatField(
        label=_("From between the ankles to between the hands, in cm"),
        min_value=0,
        max_value=200,
        required=False,
        help_text=_("Measure this and the two heights."),
    )
    start_cm = forms.FloatField(
        label=_("Height of the hands at the start, in cm"),
        min_value=0,
        max_value=250,
        required=False,
    )
    end_cm = forms.FloatField(
        label=_("Height of the hands at the end, in cm"),
        min_value=0,
        max_value=250,
        required=False,
    )
    duration = forms.ChoiceField(label=_("How long it goes on"), choices=DURATIONS)
    grip = forms.ChoiceField(label=_("The grip"), choices=GRIPS)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.order_fields(["weight_kg", "people", *HoldingForm.base_fields])

    @property
    def pairs(self) -> list[tuple[forms.BoundField, forms.BoundField]]:
        """What is asked of every lift, two side by side."""
        return [(self[one], self[other]) for one, other in PAIRS]

    @property
    def equation_fields(self) -> list[forms.BoundField]:
        """What only the equation asks."""
        return [self[name] for name in FOR_EQUATION]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        given = [name for name in TAPE if data.get(name) is not None]
        if given and len(given) < len(TAPE):
            for name in set(TAPE) - set(given) - set(self.errors):
                self.add_error(
                    name, _("Measure all three for the equation, or leave all empty.")
                )
        return data

    def asked(self) -> LiftAsked:
        """Return what was asked as the answer takes it."""
        data, tape = self.cleaned_data, None
        if data["out"] is not None:
            tape = Measured(
                data["out"],
                data["start_cm"],
                data["end_cm"],
                Duration(data["duration"]),
                Grip(data["grip"]),
            )
        return LiftAsked(
            weight_kg=data["weight_kg"],
            start=Zone(data["start"]),
            end=Zone(data["end"]),
            reach=Reach(data["reach"]),
            who=data["who"],
            per_minute=data["per_minute"],
            twist_deg=data["twist_deg"],
            people=data["people"],
            why_not=data["why_not"],
            measured=tape,
        )


class StoneForm(RecordForm[Stone]):
    """A stone, or a number alike."""

    class Meta:
        model = Stone
        fields = ["mark", "weight_kg", "how_many", "weighed"]
