"""Forms about people."""

from datetime import date, datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.http import HttpRequest
from django.utils.translation import gettext_lazy as _

from heritage.calc.young_people import ADULT
from heritage.common.by_name import ByName
from heritage.people import services
from heritage.people.models import AgeBand, User, Volunteer
from heritage.people.particulars.forms import AskedForm
from heritage.people.particulars.services import PARTICULARS


class NameAtSignup(forms.Form):
    """What an account asks for besides the e-mail address."""

    name = forms.CharField(
        label=_("Your name"),
        max_length=120,
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
    )

    def signup(self, request: HttpRequest, user: User) -> None:
        """Keep the name with the account that was just made."""
        user.name = self.cleaned_data["name"]
        user.save(update_fields=["name"])

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.order_fields(["name", "email"])


class JoinForm(AskedForm):
    """What somebody says about themselves when they join."""

    autofill = {"name": "name", "phone": "tel"}

    age_band = forms.ChoiceField(
        label=_("Your age"),
        choices=[
            (AgeBand.ADULT.value, _("I am 18 or over")),
            (AgeBand.FROM_16.value, _("I am 16 or 17")),
        ],
        widget=forms.RadioSelect,
        error_messages={"required": _("Choose how old you are.")},
        help_text=_("Under 16? Ask your parent or guardian to join and add you."),
    )
    # Which version of the notice was on the page.
    notice = forms.IntegerField(required=False, widget=forms.HiddenInput)

    class Meta(AskedForm.Meta):
        fields = ["name", "phone", "age_band", *PARTICULARS]
        labels = {"name": _("Your name")}
        help_texts = AskedForm.Meta.help_texts | {
            "phone": _("For a change of plan on the day. You may leave it empty.")
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # Nobody's age is chosen for them.
        self.initial.pop("age_band", None)

    def ask_date(self) -> None:
        """Ask for the date, and say who joins by themselves."""
        super().ask_date()
        self.fields["born_on"].help_text = _(
            "Under 18? Ask your parent or guardian to join and add you."
        )

    def write(self, *, by: User, now: datetime) -> Volunteer:
        here = self.instance.demonstration
        return services.join(demonstration=here, user=by, now=now, **self.values())


class MineForm(AskedForm):
    """A volunteer's own details."""

    autofill = {"name": "name", "email": "email", "phone": "tel"}

    class Meta(AskedForm.Meta):
        labels = {"name": _("Your name")}

    def ask_date(self) -> None:
        """Ask an adult for a date not given yet; of the young others say it."""
        self.fields["born_on"].required = False
        if self.instance.born_on or self.instance.age_band != AgeBand.ADULT:
            del self.fields["born_on"]

    def write(self, *, now: datetime) -> Volunteer:
        mine = self.instance
        return services.edit_volunteer(
            volunteer=mine,
            now=now,
            age_band=mine.age_band,
            guardian=mine.guardian,
            **self.values(),
        )


class ChildForm(AskedForm):
    """A child whom a volunteer answers for, on the list or not yet."""

    age_band = forms.ChoiceField(
        label=_("Age"),
        choices=AgeBand.of_children,
        widget=forms.RadioSelect,
        error_messages={"required": _("Choose how old they are.")},
    )

    class Meta(AskedForm.Meta):
        fields = ["name", "age_band", *PARTICULARS]
        labels = {"name": _("The child's name")}

    def clean_born_on(self) -> date | None:
        """Refuse somebody grown up: they join by themselves."""
        born_on = super().clean_born_on()
        if born_on and Volunteer(born_on=born_on).age_on(self.today) >= ADULT:
            raise ValidationError(
                _("They're 18 or over by that date. Ask them to join themselves.")
            )
        return born_on

    def write(self, *, now: datetime) -> Volunteer:
        child = self.instance
        values = self.values() | {"guardian": child.guardian, "now": now}
        if child._state.adding:
            return services.add_volunteer(demonstration=child.demonstration, **values)
        return services.edit_volunteer(
            volunteer=child, email=child.email, phone=child.phone, **values
        )


class PersonForm(AskedForm):
    """Somebody whom the organiser enters: a name is enough."""

    field_order = ["name", "email", "phone", "born_on", "age_band", "guardian"]

    class Meta(AskedForm.Meta):
        fields = [*AskedForm.Meta.fields, "age_band", "guardian"]
        widgets = AskedForm.Meta.widgets | {"age_band": forms.RadioSelect}
        field_classes = {"guardian": ByName}
        help_texts = AskedForm.Meta.help_texts | {
            "guardian": _(
                "Needed for somebody under 18: the adult volunteer who answers for "
                "them."
            )
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        person = self.instance
        adults = Volunteer.objects.of(person.demonstration).active().adults()
        self.offer("guardian", adults.exclude(pk=person.pk).by_name())

    def ask_date(self) -> None:
        """Ask for the date; where the organiser does not know it, the band will do."""
        self.fields["born_on"].required = False
        self.fields["born_on"].help_text = _("It says their age, where you know it.")
        self.fields["age_band"].label = _("Age, without a date of birth")

    def write(self, *, now: datetime) -> Volunteer:
        person, values = self.instance, self.values() | {"now": now}
        if person._state.adding:
            return services.add_volunteer(demonstration=person.demonstration, **values)
        return services.edit_volunteer(volunteer=person, **values)
