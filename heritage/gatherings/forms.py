"""What is posted: one evening, a run of evenings, or a pattern to post from."""

import re
from collections.abc import Sequence
from datetime import date, datetime
from typing import Any, cast

from crispy_forms.bootstrap import InlineCheckboxes
from crispy_forms.layout import Row
from django import forms
from django.forms.models import model_to_dict
from django.http import QueryDict
from django.utils.dates import WEEKDAYS
from django.utils.translation import gettext_lazy as _

from heritage.calc.runs import LONGEST_DAYS
from heritage.common.by_name import ByName
from heritage.common.folding import Fold, layout_of
from heritage.common.forms import RecordForm, ServiceForm
from heritage.gatherings import services
from heritage.gatherings.ground.forms import (
    ClockInput,
    DayInput,
    WithStations,
)
from heritage.gatherings.ground.selectors import local_moment
from heritage.gatherings.models import Gathering, Pattern, Run, StationKind
from heritage.gatherings.runs import services as run_services
from heritage.gatherings.runs.selectors import (
    MOST_EVENINGS,
    Evening,
    RunPlan,
    evenings,
)
from heritage.gatherings.services import Details
from heritage.growth.selectors import Window, pulling_window
from heritage.people.models import User, Volunteer
from heritage.season.models import Demonstration, Plot, Stage


def about_the_work() -> forms.Textarea:
    """Give room for what the work is."""
    return forms.Textarea(attrs={"rows": 4})


# Below the times and the place, in every form.
LAST_ROWS = (
    Fold(
        _("Lead, first aider, what to bring"),
        Row("lead", "first_aider"),
        "bring",
        "note",
    ),
)


class WorkForm(WithStations, RecordForm[Gathering]):
    """What is posted of one evening or of many, but for the times."""

    field_of = {"starts_at": "starts", "ends_at": "ends"}

    stage = forms.ChoiceField(label=_("Stage of the work"), choices=Stage)

    class Meta:
        model = Gathering
        fields = [
            "title", "stage", "plot", "place", "bring", "note", "lead", "first_aider"
        ]  # fmt: skip
        widgets = {"note": about_the_work()}
        field_classes = {"lead": ByName, "first_aider": ByName}
        help_texts = {
            "place": _("For example: the gate on the lane."),
            "lead": _(
                "Who runs this gathering and decides if it goes ahead. Leave empty if "
                "it's you."
            ),
            "first_aider": _(
                "An adult whose first aid an organiser has confirmed, with nothing "
                "else to do that evening."
            ),
        }

    def __init__(
        self,
        *args: Any,
        demonstration: Demonstration,
        first_aiders: Sequence[Volunteer] = (),
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, demonstration=demonstration, **kwargs)
        self.offer("plot", Plot.objects.of(demonstration).in_order())
        plot: Any = self.fields["plot"]
        plot.empty_label = _("no plot")
        people = Volunteer.objects.of(demonstration).active().adults()
        self.offer("lead", people.by_name())
        able = Volunteer.objects.of_keys([person.pk for person in first_aiders])
        self.offer("first_aider", able.by_name())


class GatheringForm(WorkForm):
    """One evening, in the demonstration's own time."""

    day = forms.DateField(label=_("Day"), widget=DayInput)
    starts = forms.TimeField(label=_("Starts"), widget=ClockInput)
    ends = forms.TimeField(label=_("Ends"), widget=ClockInput)
    afterwards = forms.BooleanField(
        label=_("It's over already: I'm entering it afterwards, from paper"),
        required=False,
        help_text=_("Nobody is e-mailed, and nobody can sign up."),
    )
    same_place = forms.BooleanField(
        label=_("The place is the same as before: I only changed its words"),
        required=False,
    )

    def __init__(
        self, *args: Any, gathering: Gathering | None = None, **kwargs: Any
    ) -> None:
        super().__init__(*args, gathering=gathering, **kwargs)
        self.gathering = gathering
        times = Row("day", "starts", "ends")
        first = ["title", Row("stage", "plot"), times]
        if gathering is None or gathering.is_draft:
            del self.fields["same_place"]
            rows = [*first, "afterwards", "place", *LAST_ROWS]
        else:
            del self.fields["afterwards"]
            rows = [*first, "place", "same_place", *LAST_ROWS]
        self.helper = layout_of(*rows)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        read_times(self, data, self.demonstration)
        return data

    def write(self, *, now: datetime) -> Gathering:
        """Post the evening, keep it as a draft, or change it."""
        details = {name: self.cleaned_data[name] for name in Details.__annotations__}
        as_draft = "draft" in self.data
        same: dict[str, Any] = {
            "details": details,
            "stations": self.rows.plans(),
            "afterwards": self.cleaned_data.get("afterwards", False),
            "now": now,
        }
        if self.gathering is None:
            where = self.demonstration
            return services.post(demonstration=where, as_draft=as_draft, **same)
        return services.edit(
            gathering=self.gathering,
            publish=not as_draft,
            same_place=self.cleaned_data.get("same_place", False),
            **same,
        )


class PutOffForm(ServiceForm):
    """The new day and times of a gathering that is moved."""

    field_of = {"starts_at": "starts", "ends_at": "ends"}

    day = forms.DateField(label=_("Day"), widget=DayInput)
    starts = forms.TimeField(label=_("Starts"), widget=ClockInput)
    ends = forms.TimeField(label=_("Ends"), widget=ClockInput)

    def __init__(self, data: Any, *, gathering: Gathering) -> None:
        super().__init__(data, initial=gathering_initial(gathering))
        self.gathering = gathering
        self.helper = layout_of(Row("day", "starts", "ends"))

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        read_times(self, data, self.gathering.demonstration)
        return data

    def write(self, *, now: datetime) -> Gathering:
        data = self.cleaned_data
        return services.put_off(
            gathering=self.gathering,
            starts_at=data["starts_at"],
            ends_at=data["ends_at"],
            now=now,
        )


def read_times(
    form: forms.BaseForm, data: dict[str, Any], demonstration: Demonstration
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
        form.add_error("ends", _("The end is before the start. Check both times."))


def gathering_initial(gathering: Gathering) -> dict[str, Any]:
    """Return a posted gathering as its form shows it."""
    zone = gathering.demonstration.zone
    start = gathering.starts_at.astimezone(zone)
    end = gathering.ends_at.astimezone(zone)
    times = {"day": start.date(), "starts": start.time(), "ends": end.time()}
    return model_to_dict(gathering, WorkForm.Meta.fields) | times


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
        label=_("End early if it would get dark"),
        required=False,
    )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        starts, ends = data.get("starts"), data.get("ends")
        if starts and ends and ends <= starts:
            self.add_error("ends", _("The end is before the start. Check both times."))
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
        label=_("Last day"),
        widget=DayInput,
        help_text=_("End the run when the field is done. It can't go past this day."),
    )
    left_out = DaysField(
        label=_("But not on"),
        required=False,
        max_length=600,
        help_text=_("Days left out, with commas between: 14 Aug 2026, 19/8/2026."),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = layout_of(
            "title",
            Row("stage", "plot"),
            InlineCheckboxes("weekdays"),
            Row("first_day", "last_day"),
            Row("starts", "ends"),
            "by_light",
            Fold(_("Days left out"), "left_out"),
            "place",
            *LAST_ROWS,
        )

    def as_typed(self, data: Any) -> dict[str, Any]:
        return super().as_typed(data) | {"weekdays": data.getlist("weekdays")}

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        first, last = data.get("first_day"), data.get("last_day")
        if first and last and last < first:
            self.add_error(
                "last_day",
                _("Choose a last day on or after the first."),
            )
        elif first and last and (last - first).days >= LONGEST_DAYS:
            self.add_error(
                "last_day", _("Choose a last day within a year of the first.")
            )
        elif not self.errors:
            self._require_days(len(self.plan().days))
        return data

    def _require_days(self, number: int) -> None:
        if number == 0:
            self.add_error(
                "weekdays",
                _("None of those weekdays falls between these dates. Check both."),
            )
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

    def evenings(self, now: datetime) -> list[Evening]:
        """Return every evening asked for, once nothing is left to change."""
        if not self.is_valid():
            return []
        works = [StationKind(plan.kind) for plan in self.rows.plans()]
        return evenings(self.demonstration, self.plan(), now, works, self._window())

    def _window(self) -> Window | None:
        """Return when the crop is likely ready, if it is to be pulled."""
        if self.cleaned_data["stage"] != Stage.PULLING:
            return None
        return pulling_window(self.demonstration, self.cleaned_data["plot"])

    def are_shown(self, evenings: Sequence[Evening]) -> bool:
        """Tell whether these very evenings were shown, and are now to be posted."""
        shown = self._chosen("seen")
        return "preview" not in self.data and shown == [one.key for one in evenings]

    def ticks(self, evenings: Sequence[Evening]) -> list[tuple[Evening, bool]]:
        """Return each evening with whether it is ticked: as it was, if it was shown."""
        if not evenings:
            return []
        shown, ticked = self._chosen("seen"), self._chosen("evening")
        return [
            (one, one.key in ticked if one.key in shown else one.is_offered)
            for one in evenings
        ]

    def _chosen(self, name: str) -> list[str]:
        return cast(QueryDict, self.data).getlist(name)

    def write(self, *, evenings: Sequence[Evening], by: User, now: datetime) -> Run:
        """Post the evenings left ticked, or keep them as drafts."""
        return run_services.post_run(
            demonstration=self.demonstration,
            plan=self.plan(),
            details=self.values(),
            stations=self.rows.plans(),
            days=[one.day for one, ticked in self.ticks(evenings) if ticked],
            knowing=self._clashing(),
            by=by,
            now=now,
            as_draft="draft" in self.data,
        )

    def _clashing(self) -> set[date]:
        """Return the days that were shown as clashing, and ticked all the same."""
        days = set()
        for typed in self._chosen("clashing"):
            try:
                days.add(date.fromisoformat(typed))
            except ValueError:
                continue
        return days


class RunEditForm(TimesForm):
    """What is to come of a run; what is left as it was changes nothing."""

    same_place = forms.BooleanField(
        label=_("The place is the same as before: I only changed its words"),
        required=False,
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = layout_of(
            "title",
            Row("stage", "plot"),
            Row("starts", "ends"),
            "by_light",
            "place",
            "same_place",
            *LAST_ROWS,
        )

    def write(self, *, run: Run, now: datetime) -> int:
        """Change what was changed on the page, and nothing else."""
        names = [*self.Meta.fields, "starts", "ends"]
        changed = [name for name in names if name in self.changed_data]
        return run_services.edit_run(
            run=run,
            changes={name: self.cleaned_data[name] for name in changed},
            stations=self.rows.plans() if self.rows.has_changed() else None,
            by_light=self.cleaned_data["by_light"],
            same_place=self.cleaned_data["same_place"],
            now=now,
        )


class EndRunForm(ServiceForm):
    """Words for those signed up, where the usual ones do not do."""

    note = forms.CharField(
        label=_("In your own words"),
        max_length=300,
        required=False,
        help_text=_("Goes into the e-mails and onto the pages."),
    )

    def write(self, **given: Any) -> int:
        return run_services.end_run(**given, **self.cleaned_data)


class PatternForm(WithStations, RecordForm[Pattern]):
    """A kind of gathering, to be posted from again."""

    stage = forms.ChoiceField(label=_("Stage of the work"), choices=Stage)

    class Meta:
        model = Pattern
        fields = [*services.PATTERN_FIELDS]
        widgets = {"note": about_the_work()}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = layout_of()

    def write(self, *args: Any, **given: Any) -> Pattern:
        return services.keep_pattern(
            pattern=self.instance, values=self.values(), stations=self.rows.plans()
        )


def pattern_initial(source: Pattern | Gathering) -> dict[str, Any]:
    """Return what a pattern says, or would say if it were kept of a gathering."""
    return model_to_dict(source, services.PATTERN_FIELDS)
