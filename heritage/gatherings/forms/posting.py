"""Posting a gathering: what it is, and when."""

from collections.abc import Sequence
from typing import Any, cast

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Layout, Row
from django import forms
from django.utils.translation import gettext_lazy as _

from heritage.gatherings.forms.moments import ClockInput, DayInput, local_moment
from heritage.gatherings.models import Gathering
from heritage.gatherings.services import Details
from heritage.people.models import Volunteer
from heritage.season.models import Demonstration, Plot, Stage


class WorkForm(forms.Form):
    """What is posted of one gathering or of many, but for the times."""

    title = forms.CharField(label=_("Title"), max_length=100)
    stage = forms.ChoiceField(label=_("Stage of the work"), choices=Stage)
    plot = forms.ModelChoiceField(
        Plot.objects.none(), label=_("Plot"), required=False, empty_label=_("no plot")
    )
    place = forms.CharField(
        label=_("Where to meet"),
        max_length=160,
        help_text=_("For example: the gate on the lane."),
    )
    bring = forms.CharField(label=_("What to bring"), max_length=300, required=False)
    note = forms.CharField(
        label=_("About the work"),
        max_length=2000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 4}),
    )
    lead = forms.ModelChoiceField(
        Volunteer.objects.none(),
        label=_("Lead"),
        required=False,
        empty_label=_("the organiser"),
        help_text=_("The volunteer who runs this gathering and may make the call."),
    )
    first_aider = forms.ModelChoiceField(
        Volunteer.objects.none(),
        label=_("First-aider"),
        required=False,
        empty_label=_("nobody yet"),
        help_text=_(
            "An adult whose first aid an organiser has confirmed, with nothing else "
            "to do that evening."
        ),
    )

    def __init__(
        self,
        *args: Any,
        demonstration: Demonstration,
        first_aiders: Sequence[Volunteer] = (),
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.demonstration = demonstration
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.disable_csrf = True
        self._offer("plot", Plot.objects.of(demonstration).in_order())
        people = Volunteer.objects.of(demonstration).active().adults()
        self._offer("lead", people.by_name())
        able = Volunteer.objects.of_keys([person.pk for person in first_aiders])
        self._offer("first_aider", able.by_name())

    def _offer(self, name: str, rows: Any) -> None:
        field = self.fields[name]
        assert isinstance(field, forms.ModelChoiceField)  # noqa: S101
        field.queryset = rows


class GatheringForm(WorkForm):
    """A gathering without its stations, in the demonstration's own time."""

    day = forms.DateField(label=_("Day"), widget=DayInput)
    starts = forms.TimeField(label=_("Starts"), widget=ClockInput)
    ends = forms.TimeField(label=_("Ends"), widget=ClockInput)
    afterwards = forms.BooleanField(
        label=_("It's over already: I'm entering it afterwards, from paper"),
        required=False,
        help_text=_("Nobody is written to, and it offers no places."),
    )
    same_place = forms.BooleanField(
        label=_("The place is the same as before: I only put its words right"),
        required=False,
    )

    def __init__(
        self, *args: Any, gathering: Gathering | None = None, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.helper.layout = Layout(
            "title", Row("stage", "plot"), Row("day", "starts", "ends"), "place"
        )
        if gathering is None or gathering.is_draft:
            del self.fields["same_place"]
            self.helper.layout.insert(3, "afterwards")
        else:
            del self.fields["afterwards"]
            self.helper.layout.append("same_place")
        self.helper.layout.extend(["bring", "note", Row("lead", "first_aider")])

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        read_times(self, data, self.demonstration)
        return data

    def details(self) -> Details:
        """Return what the service is told."""
        names = Details.__annotations__
        return cast(Details, {name: self.cleaned_data[name] for name in names})


class PutOffForm(forms.Form):
    """The new day and times of a gathering that is moved."""

    day = forms.DateField(label=_("Day"), widget=DayInput)
    starts = forms.TimeField(label=_("Starts"), widget=ClockInput)
    ends = forms.TimeField(label=_("Ends"), widget=ClockInput)

    def __init__(self, *args: Any, demonstration: Demonstration, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.demonstration = demonstration
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.disable_csrf = True
        self.helper.layout = Layout(Row("day", "starts", "ends"))

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        read_times(self, data, self.demonstration)
        return data


def read_times(
    form: forms.Form, data: dict[str, Any], demonstration: Demonstration
) -> None:
    """Add the moments that a day and two times of day come to, or say what is wrong."""
    day, zone = data.get("day"), demonstration.zone
    for name in ("starts", "ends"):
        clock = data.get(name)
        if day is None or clock is None:
            continue
        try:
            data[f"{name}_at"] = local_moment(day, clock, zone)
        except forms.ValidationError as error:
            form.add_error(name, error)
    starts, ends = data.get("starts_at"), data.get("ends_at")
    if starts and ends and ends <= starts:
        form.add_error("ends", _("A gathering ends after it starts."))


def gathering_initial(gathering: Gathering) -> dict[str, Any]:
    """Return a posted gathering as its form shows it."""
    zone = gathering.demonstration.zone
    start, end = (
        gathering.starts_at.astimezone(zone),
        gathering.ends_at.astimezone(zone),
    )
    same = (
        "title", "stage", "plot", "place", "bring", "note", "lead", "first_aider"
    )  # fmt: skip
    return {
        **{name: getattr(gathering, name) for name in same},
        "day": start.date(),
        "starts": start.time(),
        "ends": end.time(),
    }
