"""What every form about a person asks beside name and contact."""

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from heritage.common.forms import RecordForm
from heritage.people.models import User, Volunteer
from heritage.people.particulars import services
from heritage.people.particulars.services import PARTICULARS, Particulars
from heritage.season.models import Demonstration

DAY = forms.DateInput(format="%Y-%m-%d", attrs={"type": "date", "autocomplete": "off"})


class AskedForm(RecordForm[Volunteer]):
    """A form that asks whom to call and, where dates are kept, when one was born.

    The person, on the list or not yet, is the form's instance; ``today`` is the day
    where the demonstration is.
    """

    # What a browser may fill in by itself, field by field.
    autofill: ClassVar[Mapping[str, str]] = {}

    class Meta:
        model = Volunteer
        fields = ["name", "email", "phone", *PARTICULARS]
        widgets = {
            "phone": forms.TelInput,
            "emergency_phone": forms.TelInput,
            "born_on": DAY,
        }
        help_texts = {
            "emergency_name": _(
                "Organisers can see it, and on the day the lead and the first-aider."
            ),
            "born_on": "",
        }

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        self.fields["born_on"].required = True
        self.fields["born_on"].widget.attrs["max"] = today.isoformat()
        for name in {"name", "email", "phone", *PARTICULARS} & self.fields.keys():
            attrs = self.fields[name].widget.attrs
            attrs["autocomplete"] = self.autofill.get(name, "off")
        if self.instance.demonstration.asks_birth_date:
            self.ask_date()
        else:
            del self.fields["born_on"]

    def ask_date(self) -> None:
        """Ask for the date, which says more than the band does."""
        self.fields.pop("age_band", None)

    def clean_born_on(self) -> date | None:
        """Refuse a day that is still to come, beside the field."""
        born_on: date | None = self.cleaned_data["born_on"]
        if born_on and born_on > self.today:
            raise ValidationError(_("That day is in the future. Enter an earlier one."))
        return born_on

    def values(self) -> dict[str, Any]:
        """Return what was typed, as the services take it."""
        rest = {k: v for k, v in self.cleaned_data.items() if k not in PARTICULARS}
        asked = {k: v for k, v in self.cleaned_data.items() if k in PARTICULARS}
        asked.setdefault("born_on", self.instance.born_on)
        return rest | {"particulars": Particulars(said_on=self.today, **asked)}


class KeepingForm(RecordForm[Demonstration]):
    """Ages or dates of birth, and how long somebody has to answer."""

    asks_birth_date = forms.TypedChoiceField(
        label=_("How old people are"),
        choices=[
            ("no", _("Ask for an age, like 13 to 15. It is enough for every rule.")),
            ("yes", _("Ask for the date of birth.")),
        ],
        coerce=lambda word: word == "yes",
        widget=forms.RadioSelect,
        help_text=_(
            "With dates, somebody who turns 16 before an evening counts as 16 there. "
            "If you go back to ages, we delete all dates of birth at once."
        ),
    )

    class Meta:
        model = Demonstration
        fields = ["asks_birth_date", "answer_hours"]
        widgets = {"answer_hours": forms.NumberInput(attrs={"inputmode": "numeric"})}
        help_texts = {
            "answer_hours": _(
                "Anybody who moves up from a waiting list answers within this time. "
                "Then the place goes to the next person."
            )
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        kept = self.instance.asks_birth_date
        self.initial["asks_birth_date"] = "yes" if kept else "no"

    def write(self, *, by: User, now: datetime) -> Demonstration:
        return services.change_keeping(
            demonstration=self.instance, by=by, now=now, **self.values()
        )
