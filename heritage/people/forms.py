"""Forms about people."""

from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.http import HttpRequest
from django.utils.translation import gettext_lazy as _

from heritage.calc.young_people import ADULT
from heritage.people.models import AgeBand, User, Volunteer
from heritage.people.particulars.forms import AskedForm
from heritage.season.models import Demonstration

CHILDREN = [
    (AgeBand.UNDER_13.value, AgeBand.UNDER_13.label),
    (AgeBand.FROM_13.value, AgeBand.FROM_13.label),
    (AgeBand.FROM_16.value, AgeBand.FROM_16.label),
]


def _name(label: Any, fill: str = "off") -> forms.CharField:
    return forms.CharField(
        label=label,
        max_length=120,
        widget=forms.TextInput(attrs={"autocomplete": fill}),
    )


def _phone(fill: str = "off", hint: Any = "") -> forms.CharField:
    return forms.CharField(
        label=_("Telephone"),
        max_length=40,
        required=False,
        widget=forms.TextInput(attrs={"type": "tel", "autocomplete": fill}),
        help_text=hint,
    )


def _email(fill: str = "off") -> forms.EmailField:
    return forms.EmailField(
        label=_("E-mail address"),
        required=False,
        widget=forms.EmailInput(attrs={"autocomplete": fill}),
    )


class NameAtSignup(forms.Form):
    """What an account asks for besides the e-mail address."""

    name = _name(_("Your name"), "name")

    def signup(self, request: HttpRequest, user: User) -> None:
        """Keep the name with the account that was just made."""
        user.name = self.cleaned_data["name"]
        user.save(update_fields=["name"])

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.order_fields(["name", "email"])


class JoinForm(AskedForm):
    """What somebody says about themselves when they join."""

    name = _name(_("Your name"), "name")
    phone = _phone("tel", _("For a change of plan on the day. You may leave it empty."))
    age_band = forms.ChoiceField(
        label=_("Your age"),
        choices=[
            (AgeBand.ADULT.value, _("I am 18 or over")),
            (AgeBand.FROM_16.value, _("I am 16 or 17")),
        ],
        widget=forms.RadioSelect,
        error_messages={"required": _("Choose how old you are.")},
        help_text=_(
            "Under 16? The adult who answers for you joins, then adds you on their "
            "own page."
        ),
    )
    # Which version of the notice was on the page.
    notice = forms.IntegerField(required=False, widget=forms.HiddenInput)
    field_order = ["name", "phone", "age_band", "born_on"]

    def ask_date(self, person: Volunteer | None) -> None:
        """Ask for the date, and say who joins by themselves."""
        super().ask_date(person)
        self.fields["born_on"].help_text = _(
            "Under 18? The adult who answers for you joins, then adds you on their "
            "own page."
        )


class MineForm(AskedForm):
    """A volunteer's own details."""

    name = _name(_("Your name"), "name")
    email = _email("email")
    phone = _phone("tel")
    field_order = ["name", "email", "phone", "born_on"]

    def ask_date(self, person: Volunteer | None) -> None:
        """Ask an adult for a date not given yet; of the young others say it."""
        super().ask_date(person)
        self.fields["born_on"].required = False
        if self.kept or person is None or person.age_band != AgeBand.ADULT:
            del self.fields["born_on"]


class ChildForm(AskedForm):
    """A child whom a volunteer answers for."""

    name = _name(_("The child's name"))
    age_band = forms.ChoiceField(
        label=_("Age"),
        choices=CHILDREN,
        widget=forms.RadioSelect,
        error_messages={"required": _("Choose how old they are.")},
    )
    field_order = ["name", "age_band", "born_on"]

    def clean_born_on(self) -> date | None:
        """Refuse somebody grown up: they join by themselves."""
        born_on = super().clean_born_on()
        if born_on and Volunteer(born_on=born_on).age_on(self.today) >= ADULT:
            raise ValidationError(
                _("By that date they are 18 or over, and join by themselves.")
            )
        return born_on


class PersonForm(AskedForm):
    """Somebody whom the organiser enters: a name is enough."""

    name = _name(_("Name"))
    email = _email()
    phone = _phone()
    age_band = forms.ChoiceField(
        label=_("Age"),
        choices=AgeBand,
        initial=AgeBand.ADULT.value,
        widget=forms.RadioSelect,
    )
    guardian = forms.ModelChoiceField(
        Volunteer.objects.none(),
        label=_("Guardian"),
        required=False,
        empty_label=_("none: they are 18 or over"),
        help_text=_(
            "Needed for somebody under 18: the adult volunteer who answers for them."
        ),
    )

    field_order = ["name", "email", "phone", "born_on", "age_band", "guardian"]

    def __init__(
        self,
        *args: Any,
        demonstration: Demonstration,
        today: date,
        person: Volunteer | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(
            *args, demonstration=demonstration, today=today, person=person, **kwargs
        )
        adults = Volunteer.objects.of(demonstration).active().adults().by_name()
        if person:
            adults = adults.exclude(pk=person.pk)
        self.fields["guardian"].queryset = adults  # type: ignore[attr-defined]

    def ask_date(self, person: Volunteer | None) -> None:
        """Ask for the date; where the organiser does not know it, the band will do."""
        self.fields["born_on"].required = False
        self.fields["born_on"].help_text = _("It says their age, where you know it.")
        self.fields["age_band"].label = _("Age, without a date of birth")
