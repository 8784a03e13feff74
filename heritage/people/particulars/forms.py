"""What every form about a person asks beside name and contact."""

from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from heritage.people.models import Volunteer
from heritage.people.particulars.services import Particulars
from heritage.season.models import Demonstration

DAY = forms.DateInput(format="%Y-%m-%d", attrs={"type": "date", "autocomplete": "off"})
ASKED = ("emergency_name", "emergency_phone", "born_on")


class AskedForm(forms.Form):
    """A form that asks whom to call and, where dates are kept, when one was born."""

    emergency_name = forms.CharField(
        label=_("Whom to call in an emergency"),
        max_length=120,
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        help_text=_(
            "The organisers read it, and on the day the lead and the first-aider."
        ),
    )
    emergency_phone = forms.CharField(
        label=_("Their telephone"),
        max_length=40,
        required=False,
        widget=forms.TextInput(attrs={"type": "tel", "autocomplete": "off"}),
    )
    born_on = forms.DateField(label=_("Date of birth"), widget=DAY)

    def __init__(
        self,
        *args: Any,
        demonstration: Demonstration,
        today: date,
        person: Volunteer | None = None,
        **kwargs: Any,
    ) -> None:
        known = {name: getattr(person, name) for name in ASKED} if person else {}
        kwargs["initial"] = known | (kwargs.get("initial") or {})
        super().__init__(*args, **kwargs)
        self.today, self.kept = today, known.get("born_on")
        self.fields["born_on"].widget.attrs["max"] = today.isoformat()
        if demonstration.asks_birth_date:
            self.ask_date(person)
        else:
            del self.fields["born_on"]

    def ask_date(self, person: Volunteer | None) -> None:
        """Ask for the date, which says more than the band does."""
        self.fields.pop("age_band", None)

    def clean_born_on(self) -> date | None:
        """Refuse a day that is still to come, beside the field."""
        born_on: date | None = self.cleaned_data["born_on"]
        if born_on and born_on > self.today:
            raise ValidationError(_("This day is still to come."))
        return born_on

    def said(self) -> dict[str, Any]:
        """Return what was typed, as the services take it."""
        rest = {k: v for k, v in self.cleaned_data.items() if k not in ASKED}
        asked = {k: v for k, v in self.cleaned_data.items() if k in ASKED}
        asked.setdefault("born_on", self.kept)
        return rest | {"particulars": Particulars(said_on=self.today, **asked)}


class KeepingForm(forms.Form):
    """Ages or dates of birth, and how long somebody has to answer."""

    asks_birth_date = forms.TypedChoiceField(
        label=_("How old people are"),
        choices=[
            ("no", _("Ask for an age, such as 13 to 15. It is enough for every rule.")),
            ("yes", _("Ask for the date of birth.")),
        ],
        coerce=lambda word: word == "yes",
        widget=forms.RadioSelect,
        help_text=_(
            "With dates, somebody who turns 16 before an evening counts as 16 there. "
            "Going back to ages deletes every date that is held, at once."
        ),
    )
    answer_hours = forms.IntegerField(
        label=_("Hours to answer when a place comes free"),
        min_value=1,
        max_value=168,
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
        help_text=_(
            "Whoever moves up from a waiting list says within this time that they "
            "come. After it the place goes to the next."
        ),
    )
