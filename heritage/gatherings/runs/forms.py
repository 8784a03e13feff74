"""Posting a run of evenings, and changing what is to come of one."""

import re
from datetime import date, datetime
from typing import Any

from crispy_forms.layout import Layout, Row
from django import forms
from django.utils.dates import WEEKDAYS
from django.utils.translation import gettext_lazy as _

from heritage.calc.runs import LONGEST_DAYS
from heritage.gatherings.forms import WorkForm
from heritage.gatherings.ground.forms import ClockInput, DayInput
from heritage.gatherings.runs.selectors import MOST_EVENINGS, RunPlan

WAYS = ("%Y-%m-%d", "%d/%m/%Y", "%d %B %Y", "%d %b %Y")
BETWEEN = re.compile(r"[,;\n]+")


class DaysField(forms.CharField):
    """Some days, with commas or lines between them."""

    def clean(self, value: Any) -> tuple[date, ...]:
        typed = BETWEEN.split(super().clean(value))
        return tuple(self._day(one.strip()) for one in typed if one.strip())

    def _day(self, typed: str) -> date:
        for way in WAYS:
            try:
                return datetime.strptime(typed, way).date()  # noqa: DTZ007
            except ValueError:
                continue
        words = _("“%s” is no day. Write it as 2026-08-14, 14/8/2026 or 14 Aug 2026.")
        raise forms.ValidationError(words % typed)


class TimesForm(WorkForm):
    """Work at the same times of day on several evenings."""

    starts = forms.TimeField(label=_("Starts"), widget=ClockInput)
    ends = forms.TimeField(label=_("Ends"), widget=ClockInput)
    by_light = forms.BooleanField(
        label=_("An evening that would go dark ends when its light does"),
        required=False,
    )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        starts, ends = data.get("starts"), data.get("ends")
        if starts and ends and ends <= starts:
            self.add_error("ends", _("A gathering ends after it starts."))
        return data


class RunForm(TimesForm):
    """A run: on which days, from when to when, and what is done there."""

    weekdays = forms.TypedMultipleChoiceField(
        label=_("On"),
        choices=list(WEEKDAYS.items()),
        coerce=int,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": _("Tick at least one day of the week.")},
    )
    first_day = forms.DateField(label=_("From"), widget=DayInput)
    last_day = forms.DateField(
        label=_("Until at the latest"),
        widget=DayInput,
        help_text=_("You end the run when the field is done; this is the last resort."),
    )
    left_out = DaysField(
        label=_("But not on"),
        required=False,
        max_length=600,
        help_text=_("Days left out, with commas between: 14 Aug 2026, 19/8/2026."),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper.layout = Layout(
            "title",
            Row("stage", "plot"),
            "weekdays",
            Row("first_day", "last_day"),
            Row("starts", "ends"),
            "by_light",
            "left_out",
            "place",
            "bring",
            "note",
            Row("lead", "first_aider"),
        )

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        first, last = data.get("first_day"), data.get("last_day")
        if first and last and last < first:
            self.add_error("last_day", _("A run ends on or after its first day."))
        elif first and last and (last - first).days >= LONGEST_DAYS:
            self.add_error("last_day", _("A run is at most a year long."))
        elif not self.errors:
            self._require_days(len(self.plan().days))
        return data

    def _require_days(self, number: int) -> None:
        if number == 0:
            self.add_error("weekdays", _("No evening falls on these days."))
        if number > MOST_EVENINGS:
            words = _("That is %(number)d evenings. Post at most %(most)d at once.")
            number_of = {"number": number, "most": MOST_EVENINGS}
            self.add_error("last_day", words % number_of)

    def plan(self) -> RunPlan:
        """Return the days and times asked for."""
        data = self.cleaned_data
        return RunPlan(
            weekdays=tuple(data["weekdays"]),
            first_day=data["first_day"],
            last_day=data["last_day"],
            starts=data["starts"],
            ends=data["ends"],
            left_out=data["left_out"],
            by_light=data["by_light"],
        )

    def details(self) -> dict[str, Any]:
        """Return what is posted of each evening, but for its times."""
        return {name: self.cleaned_data[name] for name in WorkForm.base_fields}


class RunEditForm(TimesForm):
    """What is to come of a run; what is left as it was changes nothing."""

    same_place = forms.BooleanField(
        label=_("The place is the same as before: I only put its words right"),
        required=False,
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper.layout = Layout(
            "title",
            Row("stage", "plot"),
            Row("starts", "ends"),
            "by_light",
            "place",
            "same_place",
            "bring",
            "note",
            Row("lead", "first_aider"),
        )

    def changes(self) -> dict[str, Any]:
        """Return what was changed on the page, and nothing else."""
        names = (*WorkForm.base_fields, "starts", "ends")
        return {
            name: self.cleaned_data[name] for name in names if name in self.changed_data
        }


class EndRunForm(forms.Form):
    """Words for those signed up, where the usual ones do not do."""

    note = forms.CharField(
        label=_("In your own words"),
        max_length=300,
        required=False,
        help_text=_("Goes into the letters and onto the pages."),
    )
