"""What every part's forms share: days, times, buttons and the rows of the stations."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, cast

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from heritage.briefings.models import Briefing
from heritage.common.forms import ServiceForm, Submits
from heritage.gatherings.models import Gathering, PatternStation, Station, StationKind
from heritage.gatherings.services import StationPlan
from heritage.people.models import AgeBand, Competence
from heritage.season.models import Demonstration


class DayInput(forms.DateInput):
    input_type = "date"

    def __init__(self) -> None:
        super().__init__(format="%Y-%m-%d")


class ClockInput(forms.TimeInput):
    input_type = "time"

    def __init__(self) -> None:
        super().__init__(format="%H:%M")


class NeededAtTimes(forms.Field):
    """A field that some answers need, so that the page doesn't call it optional."""

    says_optional = False


class ButtonForm(ServiceForm):
    """What a button sends: nobody typed it, so a refusal is said on the next page."""

    def press(self, **given: Any) -> Any:
        """Hand what was pressed to the service.

        Raises
        ------
        ValidationError
            If the page was out of date, or the service refuses.
        """
        if not self.is_valid():
            raise self.out_of_date()
        return self.write(**given)

    def out_of_date(self) -> ValidationError:
        """Return what is said where a choice is no longer there."""
        return ValidationError(
            [error for errors in self.errors.as_data().values() for error in errors]
        )


# The band's own name says how old somebody is; a least age says from when.
AGES = (
    (AgeBand.UNDER_13, _("any age the rules allow")),
    (AgeBand.FROM_13, _("from 13")),
    (AgeBand.FROM_16, _("from 16")),
    (AgeBand.ADULT, _("adults only")),
)
COUNT = {"inputmode": "numeric"}
# The part of a row that is folded away: most evenings leave it as it is.
FOLDED = ("title", "fewest", "least_age", "competence", "briefing", "note")
# What an evening of pulling by hand needs. The numbers are ours, to start from.
PULLING = ((StationKind.PULL, 10), (StationKind.TIE, 6), (StationKind.LAY_BANDS, 2))


@dataclass(frozen=True, slots=True)
class Offers:
    """What a row may ask for, looked up once for all the rows."""

    demonstration: Demonstration
    briefings: Sequence[Briefing]
    competences: Sequence[Competence]


def offers_of(demonstration: Demonstration) -> Offers:
    """Look up what stations of a demonstration may ask for."""
    return Offers(
        demonstration,
        list(Briefing.objects.of(demonstration).by_title()),
        list(Competence.objects.of(demonstration).by_title()),
    )


def _asked(name: str, **options: Any) -> Any:
    """Return a station's field, with the label and limits of the model."""
    field = Station._meta.get_field(name)
    return field.formfield(required=False, **options)  # type: ignore[union-attr]


class StationForm(forms.Form):
    """One row of the stations; left empty, it is no station."""

    use_required_attribute = False

    station = forms.ModelChoiceField(
        Station.objects.none(), required=False, widget=forms.HiddenInput
    )
    kind = _asked("kind", choices=[("", _("none")), *StationKind.choices])
    title = _asked("title", help_text=_("Left empty, it is called after the work."))
    places = forms.IntegerField(
        label=_("Places"),
        min_value=1,
        max_value=500,
        required=False,
        widget=forms.NumberInput(attrs=COUNT),
    )
    fewest = forms.IntegerField(
        label=_("Fewest needed"),
        min_value=0,
        max_value=500,
        required=False,
        help_text=_("With fewer than this, the work doesn't start."),
        widget=forms.NumberInput(attrs=COUNT),
    )
    least_age = _asked("least_age", choices=AGES)
    competence = _asked(
        "competence",
        empty_label=_("none"),
        help_text=_("Only people an organiser has confirmed can take a place."),
    )
    briefing = _asked("briefing", empty_label=_("none"))
    note = _asked("note")
    remove = forms.BooleanField(label=_("Take this station away"), required=False)

    def __init__(
        self, *args: Any, offers: Offers, gathering: Gathering | None, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        where = offers.demonstration
        self._offer("briefing", Briefing.objects.of(where), offers.briefings)
        self._offer("competence", Competence.objects.of(where), offers.competences)
        if gathering is not None:
            stations = gathering.stations.all()
            self.fields["station"].queryset = stations  # type: ignore[attr-defined]

    def _offer(self, name: str, rows: Any, known: Iterable[Any]) -> None:
        """Offer rows that are looked up already: no query for each row of the page."""
        field = cast("forms.ModelChoiceField[Any]", self.fields[name])
        field.queryset = rows
        field.choices = [
            ("", field.empty_label),
            *((row.pk, str(row)) for row in known),
        ]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if not self.is_station(data):
            return data
        if not data.get("kind"):
            self.add_error("kind", _("Choose the kind of work, or empty the row."))
        if data.get("places") is None and "places" not in self.errors:
            self.add_error("places", _("Enter how many it needs."))
        self._clean_fewest(data)
        if not data.get("title") and data.get("kind"):
            data["title"] = StationKind(data["kind"]).label.capitalize()
        return data

    def _clean_fewest(self, data: dict[str, Any]) -> None:
        fewest, places = data.get("fewest"), data.get("places")
        if fewest and places and fewest > places:
            words = _("The fewest needed cannot be more than the %d places.")
            self.add_error("fewest", words % places)

    @property
    def in_short(self) -> str:
        """A filled row's work and places, by which it is folded; else nothing."""
        kind, places = self["kind"].value(), self["places"].value()
        if kind not in StationKind.values or not places or self.errors:
            return ""
        words = _("%(work)s, %(places)s places")
        return words % {"work": StationKind(kind).label.capitalize(), "places": places}

    @property
    def asks(self) -> list[str]:
        """What the folded part of the row says, in a few words."""
        age = dict(AGES).get(self["least_age"].value() or AgeBand.FROM_16)
        parts = [str(age)] if age else []
        if fewest := self["fewest"].value():
            parts.append(str(_("at least %s")) % fewest)
        for name in ("competence", "briefing"):
            field = cast("forms.ModelChoiceField[Any]", self.fields[name])
            value = str(self[name].value() or "")
            offered = cast("Iterable[tuple[Any, Any]]", field.choices)
            parts += [
                str(label) for key, label in offered if value and value == str(key)
            ]
        return [words for words in parts if words]

    @property
    def has_folded_errors(self) -> bool:
        """Whether something to check is in the folded part of the row."""
        return any(name in self.errors for name in FOLDED)

    def is_station(self, data: dict[str, Any]) -> bool:
        """Tell whether the row says anything, and is not to be taken away."""
        is_filled = any(data.get(name) for name in ("kind", "title", "places", "note"))
        return (is_filled or "places" in self.errors) and not data.get("remove")

    def plan(self) -> StationPlan | None:
        """Return the station the row asks for, or None for an empty row."""
        data = self.cleaned_data
        if not self.is_station(data):
            return None
        return StationPlan(
            kind=data["kind"],
            title=data["title"],
            places=data["places"],
            fewest=data["fewest"] or 0,
            least_age=data["least_age"] or AgeBand.FROM_16,
            competence=data["competence"],
            briefing=data["briefing"],
            note=data["note"],
            station=data["station"],
        )


class BaseStationFormSet(forms.BaseFormSet[StationForm]):
    """The rows of the stations: at least one, each under a name of its own."""

    def clean(self) -> None:
        if any(self.errors):
            return
        if not self.plans():
            raise forms.ValidationError(_("Add at least one station."))

    def mark_needed(self) -> None:
        """Show what a station cannot do without; an empty row still passes."""
        for form in self.forms:
            for name in ("kind", "places"):
                form.fields[name].required = True

    def plans(self) -> list[StationPlan]:
        """Return the stations asked for, in order."""
        plans = [form.plan() for form in self.forms]
        return [plan for plan in plans if plan]


StationFormSet = forms.formset_factory(
    StationForm, formset=BaseStationFormSet, extra=0, max_num=40, absolute_max=60
)


def starting_stations(briefing: Briefing | None = None) -> list[dict[str, Any]]:
    """Return the rows ready for an evening of pulling by hand."""
    return [
        {
            "kind": kind,
            "title": kind.label.capitalize(),
            "places": places,
            "least_age": AgeBand.FROM_13,
            "briefing": briefing.pk if briefing else None,
        }
        for kind, places in PULLING
    ]


def station_initial(
    station: Station | PatternStation, *, copied: bool = False
) -> dict[str, Any]:
    """Return a station as its row shows it; copied, it is a new one."""
    return {
        "station": None if copied else station.pk,
        "kind": station.kind,
        "title": station.title,
        "places": station.places,
        "fewest": station.fewest or None,
        "least_age": station.least_age,
        "competence": station.competence_id,
        "briefing": station.briefing_id,
        "note": station.note,
    }


def typed_rows(data: Any, prefix: str = "stations") -> list[dict[str, Any]]:
    """Return the rows as they were typed, unchecked, to show them again."""
    names = [name for name in StationForm.base_fields if name != "remove"]
    try:
        count = min(int(data.get(f"{prefix}-TOTAL_FORMS", 0)), 40)
    except ValueError:
        count = 0
    rows = range(count)
    return [
        {name: data.get(f"{prefix}-{row}-{name}", "") for name in names} for row in rows
    ]


class WithStations(Submits):
    """A form with the rows of its stations: typed, checked and kept together.

    Where a row more is asked for, all is shown again as it was typed, unchecked.
    """

    def __init__(
        self,
        data: Any,
        *,
        initial: dict[str, Any],
        stations: Sequence[dict[str, Any]],
        demonstration: Demonstration,
        gathering: Gathering | None = None,
        **kwargs: Any,
    ) -> None:
        if data is not None and "add" in data:
            initial, stations = self.as_typed(data), [*typed_rows(data), {}]
            data = None
        super().__init__(data, initial=initial, **kwargs)
        self.demonstration = demonstration
        self.rows = cast(
            BaseStationFormSet,
            StationFormSet(
                data,
                initial=stations,
                form_kwargs={
                    "offers": offers_of(demonstration),
                    "gathering": gathering,
                },
                prefix="stations",
            ),
        )

    def as_typed(self, data: Any) -> dict[str, Any]:
        """Return the fields as they were typed, to show them again."""
        names = self.base_fields  # type: ignore[attr-defined]
        return {name: data.get(name, "") for name in names}

    def is_valid(self) -> bool:
        # Both are asked, so that the page names everything there is to check.
        return all([super().is_valid(), self.rows.is_valid()])

    def submit(self, **given: Any) -> bool:
        """Hand good forms to the service; else mark what a station needs."""
        kept = super().submit(**given)
        self.rows.mark_needed()
        return kept
