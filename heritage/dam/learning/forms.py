"""Forms of the test book, of how a ret came out, and of how rets are reckoned."""

from datetime import date, datetime, timedelta
from typing import Any

from crispy_forms.layout import HTML
from django import forms
from django.core.exceptions import ValidationError
from django.utils.dates import MONTHS
from django.utils.formats import date_format
from django.utils.translation import gettext_lazy as _

from heritage.calc.retting import OF_A_PLACE, TESTS, SignKind
from heritage.common.folding import layout_of
from heritage.common.forms import RecordForm, ServiceForm
from heritage.common.moments import LocalMoment
from heritage.dam.learning import services
from heritage.dam.learning.selectors import Look
from heritage.dam.models import (
    MOST_STEMS,
    Check,
    Finding,
    OnStem,
    Outcome,
    Reckoning,
    Ret,
    StruckTest,
)
from heritage.growth.warmth.selectors import DayOfWarmth
from heritage.growth.warmth.services import foretell_days
from heritage.people.models import User
from heritage.season.models import Demonstration

MORE = """{% load i18n %}<details{% if form.is_bound %} open{% endif %}>
<summary>{% translate "More options" %}</summary>"""
MEANS = """{% load i18n %}<details{% if form.is_bound %} open{% endif %}>
<summary>{% translate "Usual air, where there is no forecast" %}</summary>
<p>{% translate "Mean air of each month, °C. Only the months of your ret." %}</p>"""
TYPED_DAYS = 7


class LookForm(ServiceForm):
    """One look: how many stems were found how, or what was seen from the bank."""

    place = forms.ChoiceField(
        label=_("Where on the stem"),
        choices=OnStem,
        initial=OnStem.MIDDLE,
        required=False,
        widget=forms.RadioSelect,
    )
    at = LocalMoment(label=_("When"))
    tester = forms.CharField(
        label=_("Who tested, if not you"),
        max_length=40,
        required=False,
        help_text=_("Initials are enough. Testers differ, so who tested counts."),
    )
    note = forms.CharField(
        label=_("Note"),
        max_length=300,
        required=False,
        help_text=_("Which beets, how it felt."),
    )
    sure = forms.BooleanField(label=_("I've checked: it's right"), required=False)

    def __init__(self, *args: Any, kind: SignKind, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.findings = [one for one in Finding if one.kind == kind]
        self.is_counted = kind in TESTS
        if self.is_counted:
            self.fields |= {one.value: _stems(one) for one in self.findings}
        else:
            self.fields["finding"] = _seen(self.findings)
        if kind not in OF_A_PLACE:
            del self.fields["place"]
        names = [*self._asked(), "place", "at"]
        shown = [name for name in names if name in self.fields]
        self.helper = layout_of(
            *shown, HTML(MORE), "tester", "note", HTML("</details>"), "sure"
        )

    def _asked(self) -> list[str]:
        return [one.value for one in self.findings] if self.is_counted else ["finding"]

    def clean(self) -> dict[str, Any]:
        """Gather what was found, and ask for it where nothing was."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        if self.is_counted:
            data["found"] = {
                one.value: data.get(one.value) or 0 for one in self.findings
            }
            asked = [self.findings[0].value]
        else:
            data["found"] = {data["finding"]: 1} if data.get("finding") else {}
            asked = []
        if asked and not self.errors and not any(data["found"].values()):
            self.add_error(asked[0], _("Enter how many stems looked like this."))
        return data

    def write(self, *, ret: Ret, by: User, now: datetime) -> list[Check]:
        data = self.cleaned_data
        return services.add_look(
            ret=ret,
            at=data["at"],
            found=data["found"],
            place=data.get("place") or OnStem.MIDDLE,
            tester=data["tester"],
            note=data["note"],
            sure=data["sure"],
            by=by,
            now=now,
        )

    def ask_only_if_asked(self) -> None:
        """Leave the tick out unless there was a question, or it was given."""
        if "sure" not in self.errors and not self.data.get("sure"):
            del self.fields["sure"]
            self.helper.layout.pop()


def _stems(finding: Finding) -> forms.IntegerField:
    field = forms.IntegerField(
        label=str(finding.label).capitalize(),
        required=False,
        min_value=0,
        max_value=MOST_STEMS,
    )
    field.widget.attrs["inputmode"] = "numeric"
    return field


def _seen(findings: list[Finding]) -> forms.ChoiceField:
    return forms.ChoiceField(
        label=_("What you saw"),
        choices=[(one.value, one.label) for one in findings],
        widget=forms.RadioSelect,
    )


class StrikeTestForm(ServiceForm):
    """Why a test doesn't count."""

    why = forms.ChoiceField(
        choices=StruckTest,
        error_messages={"required": _("Choose why it doesn't count.")},
    )

    def write(self, *, check: Check, by: User, now: datetime) -> Look:
        return services.strike_look(
            check=check, why=self.cleaned_data["why"], by=by, now=now
        )


class OutcomeForm(RecordForm[Outcome]):
    """How the fibre of a ret came out."""

    class Meta:
        model = Outcome
        fields = ["verdict", "after", "note"]
        widgets = {"verdict": forms.RadioSelect, "after": forms.RadioSelect}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("verdict", "after"):
            self.fields[name].required = True
            self.fields[name].choices = self.fields[name].choices[1:]  # type: ignore[attr-defined]

    def _post_clean(self) -> None:
        """Who said it, and when, comes with the writing: the service asks the rules."""

    def write(self, *, by: User, now: datetime) -> Outcome:
        return services.judge(ret=self.instance.ret, by=by, now=now, **self.values())


class BasisForm(RecordForm[Ret]):
    """How the flax and the water of one ret were."""

    class Meta:
        model = Ret
        fields = ["straw", "topped_up", "lag_h"]
        help_texts = {
            "straw": _("Decides which stones are wanted first. We found no figure for "
                       "how it changes the ret's length."),
            "topped_up": _("Kept for comparing rets. We found no figure for how it "
                           "changes the length."),
            "lag_h": _("Leave at 0: the published lengths run from the filling. We "
                       "found no figure for this."),
        }  # fmt: skip

    def write(self) -> Ret:
        return services.keep_basis(ret=self.instance, values=self.values())


def _months() -> dict[str, forms.DecimalField]:
    return {
        f"month_{number}": forms.DecimalField(
            label=name, required=False, min_value=-20, max_value=40, max_digits=4,
            decimal_places=1,
        )
        for number, name in MONTHS.items()
    }  # fmt: skip


class ReckoningForm(RecordForm[Reckoning]):
    """The organiser's own weights, and the place for the water ahead."""

    class Meta:
        model = Reckoning
        fields = ["visit", "day_late", "day_early", "lies", "place"]
        labels = {
            "visit": _("What a visit costs you"),
            "day_late": _("What a day too late costs, in visits"),
            "day_early": _("What a day too early costs, in visits"),
        }
        help_texts = {
            "visit": _("Leave it at 1: the two below are counted in visits."),
            "day_late": _("Past its best the fibre weakens, and that can't be undone."),
            "day_early": _("Too soon can be put back, or finished on the grass."),
            "lies": _("Our judgement: 1.5 °C above the air in the sun, none in the "
                      "shade, 2 °C below it from a spring."),
            "place": _("The weather station whose monthly means you type below."),
        }  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields |= _months()
        for name in ("visit", "day_late", "day_early", *_months()):
            self.fields[name].widget.attrs["inputmode"] = "decimal"
        for number, mean in enumerate(self.instance.month_c, 1):
            self.initial[f"month_{number}"] = mean
        self.helper = layout_of(
            *self.Meta.fields[:-1], HTML(MEANS), "place", *_months(), HTML("</details>")
        )

    def write(self) -> Reckoning:
        typed = [self.cleaned_data[name] for name in _months()]
        means = [None if each is None else float(each) for each in typed]
        months = means if any(each is not None for each in means) else []
        return services.keep_reckoning(
            demonstration=self.instance.demonstration,
            values=self.values() | {"month_c": months},
        )


class DaysAheadForm(ServiceForm):
    """The air of the days ahead, typed from a forecast."""

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.days = [today + timedelta(days=ahead) for ahead in range(TYPED_DAYS)]
        for day in self.days:
            words = date_format(day, "l j F")
            for name, label in (("low", _("lowest, °C")), ("high", _("highest, °C"))):
                self.fields[f"{name}_{day}"] = _air(f"{words}: {label}")

    def rows(self) -> list[tuple[date, forms.BoundField, forms.BoundField]]:
        """Return each day with its two fields."""
        return [(day, self[f"low_{day}"], self[f"high_{day}"]) for day in self.days]

    def clean(self) -> dict[str, Any]:
        """Gather the days that have both, and ask for the other of one."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        data["days"] = []
        for day in self.days:
            low, high = data.get(f"low_{day}"), data.get(f"high_{day}")
            if (low is None) != (high is None):
                lacks = "low" if low is None else "high"
                self.add_error(f"{lacks}_{day}", _("Enter both, or neither."))
            elif low is not None and high is not None and low > high:
                self.add_error(f"low_{day}", _("The lowest is above the highest."))
            elif low is not None and high is not None:
                data["days"].append(DayOfWarmth(day, low, high))
        if not data["days"] and not self.errors:
            raise ValidationError(_("Enter at least one day, or cancel."))
        return data

    def write(self, *, demonstration: Demonstration, by: User, now: datetime) -> int:
        return foretell_days(
            demonstration=demonstration, days=self.cleaned_data["days"], by=by, now=now
        )


def _air(label: str) -> forms.DecimalField:
    field = forms.DecimalField(
        label=label, required=False, min_value=-20, max_value=45, max_digits=4,
        decimal_places=1,
    )  # fmt: skip
    field.widget.attrs["inputmode"] = "decimal"
    return field
