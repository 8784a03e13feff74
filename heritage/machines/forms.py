"""Writing down a machine, and checking its guards."""

from datetime import datetime
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from heritage.common.forms import RecordForm, ServiceForm, two_lines
from heritage.machines import services
from heritage.machines.models import Machine, MachineCheck
from heritage.people.models import User

LONGEST_GUARD = 120
LONG_FIELDS = ("stop", "fuel", "barrier", "note")


class MachineForm(RecordForm[Machine]):
    """A machine, its rules and its guards: one to a line."""

    guards = forms.CharField(
        label=_("Guards that must be in place"),
        widget=forms.Textarea(attrs={"rows": 5}),
        help_text=_("One to a line. Each is checked before the machine runs."),
    )

    class Meta:
        model = Machine
        fields = ["name", "kind", "worked_by", "stop", "barrier", "fuel", "note"]
        widgets = {name: two_lines() for name in LONG_FIELDS}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        here = self.instance.demonstration
        self.offer("worked_by", here.competences.order_by("title", "pk"))
        guards = self.instance.guards.all() if self.instance.pk else []
        self.fields["guards"].initial = "\n".join(guard.name for guard in guards)
        self.order_fields(["name", "kind", "worked_by", "guards", "stop"])

    def clean_guards(self) -> list[str]:
        lines = [line.strip() for line in self.cleaned_data["guards"].splitlines()]
        guards = [line for line in lines if line]
        if any(len(line) > LONGEST_GUARD for line in guards):
            raise forms.ValidationError(
                _("Shorten it: a guard's name can have up to 120 letters.")
            )
        return guards

    def write(self) -> Machine:
        return services.keep_machine(
            machine=self.instance,
            values=self.values(),
            guards=self.cleaned_data["guards"],
        )

    def remove(self) -> None:
        services.delete_machine(machine=self.instance)


class GuardsSeen(forms.MultipleChoiceField):
    """The guards that were seen: to tick none is an answer too, that none is there."""

    def validate(self, value: list[str]) -> None:
        if value:
            super().validate(value)


class CheckForm(ServiceForm):
    """Which guards are in their place."""

    present = GuardsSeen(
        label=_("In place and sound"),
        widget=forms.CheckboxSelectMultiple,
        help_text=_("Tick what you saw and touched. Anything else counts as missing."),
    )
    note = forms.CharField(
        label=_("Note"),
        max_length=300,
        required=False,
        widget=two_lines(),
    )

    def __init__(self, *args: Any, machine: Machine, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.machine = machine
        names = [guard.name for guard in machine.guards.all()]
        self.fields["present"].choices = [(one, one) for one in names]  # type: ignore[attr-defined]

    def write(self, *, by: User, now: datetime) -> MachineCheck:
        return services.check_machine(
            machine=self.machine, by=by, now=now, **self.cleaned_data
        )
