"""The five answers that set a demonstration up."""

from datetime import date, datetime, time
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict
from django.utils.translation import gettext_lazy as _

from heritage.common.forms import ServiceForm, Submits
from heritage.desk.setting_up import selectors, services
from heritage.gatherings.forms import read_times
from heritage.gatherings.ground.forms import ClockInput, DayInput
from heritage.gatherings.models import Gathering
from heritage.people.models import User
from heritage.season.models import AreaMeasure, Demonstration, Jurisdiction
from heritage.season.services import to_square_metres
from heritage.season.whereabouts.selectors import Whereabouts, places_meant

# What an evening begins with until its times are typed.
STARTS, ENDS = time(18, 30), time(20, 30)


class SetUpForm(ServiceForm):
    """Name, place, crop and size, first evening, own name; all else has its start.

    Where a place may be several, or a border is near, it asks once more.
    """

    field_of = {
        "latitude": "where", "longitude": "where", "place_name": "where",
        "time_zone": "where", "jurisdiction": "rules", "year": "day",
        "area_m2": "area", "starts_at": "starts", "ends_at": "ends",
    }  # fmt: skip
    where_asked = ("which", "rules")

    name = forms.CharField(
        label=_("What is it called?"),
        max_length=80,
        help_text=_("For example: Flax at the old mill."),
    )
    where = forms.CharField(
        label=_("Where is the field?"),
        max_length=120,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text=_(
            "A town near it, a grid reference like H 123 456, or latitude and "
            "longitude like 54.2, -7.1."
        ),
    )
    crop = forms.CharField(label=_("Crop"), max_length=40, initial="flax")
    area = forms.DecimalField(
        label=_("Size"), max_digits=12, decimal_places=4, min_value=Decimal("0.0001")
    )
    measure = forms.ChoiceField(
        label=_("in"), choices=AreaMeasure, initial=AreaMeasure.ACRES
    )
    day = forms.DateField(label=_("Day"), widget=DayInput)
    starts = forms.TimeField(label=_("Starts"), widget=ClockInput, initial=STARTS)
    ends = forms.TimeField(label=_("Ends"), widget=ClockInput, initial=ENDS)
    founder_name = forms.CharField(
        label=_("Your name"),
        max_length=120,
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
        help_text=_(
            "You are the organiser. Your name appears in the safety briefings."
        ),
    )

    def __init__(self, data: QueryDict | None, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        for name in ("where", "area"):
            self.fields[name].widget.attrs["autocomplete"] = "off"
        self.fields["area"].widget.attrs["inputmode"] = "decimal"
        self.places = places_meant(self._raw("where"))
        if len(self.places) > 1:
            self._ask_which()
        place = self.place()
        if place and not place.rules:
            self._ask_rules()

    def _ask_which(self) -> None:
        choices = [
            (str(number), place.words) for number, place in enumerate(self.places)
        ]
        self.fields["which"] = forms.ChoiceField(
            label=_("Which one?"),
            choices=choices,
            widget=forms.RadioSelect,
            error_messages={
                "required": _("There are several. Choose the one you mean."),
                "invalid_choice": _("There are several. Choose the one you mean."),
            },
        )

    def _ask_rules(self) -> None:
        self.fields["rules"] = forms.ChoiceField(
            label=_("Whose rules on children, machines and water apply?"),
            choices=Jurisdiction,
            widget=forms.RadioSelect,
            help_text=_("There is a border near, so please choose."),
            error_messages={"required": _("Choose the country whose rules apply.")},
        )

    def place(self) -> Whereabouts | None:
        """Return the place that is meant, once there is no doubt."""
        if len(self.places) < 2:
            return self.places[0] if self.places else None
        number = self._raw("which")
        if not number.isdecimal() or int(number) >= len(self.places):
            return None
        return self.places[int(number)]

    def clean_where(self) -> str:
        """Refuse a place that nobody could find."""
        words: str = self.cleaned_data["where"]
        if not self.places:
            raise ValidationError(
                _(
                    "We don't know that place. Enter the nearest town, a grid "
                    "reference, or latitude and longitude."
                )
            )
        return words

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if home := self.home():
            read_times(self, data, home)
        return data

    def home(self) -> Demonstration | None:
        """Return the demonstration as far as its place is known; it is not kept."""
        place = self.place()
        if place is None:
            return None
        return Demonstration(
            crop=self._raw("crop") or "flax",
            latitude=place.latitude,
            longitude=place.longitude,
            time_zone=place.time_zone,
        )

    def first_evening(self) -> selectors.FirstEvening | None:
        """Return the light and the pull of the evening, from what is typed so far."""
        home, day = self.home(), self._typed("day")
        if home is None or not isinstance(day, date):
            return None
        area, measure = self._typed("area"), self._typed("measure")
        area_m2 = to_square_metres(area, measure) if area and measure else None
        return selectors.first_evening(home, day, self._span(home, day), area_m2)

    def _span(self, home: Demonstration, day: date) -> tuple[datetime, datetime] | None:
        starts, ends = self._typed("starts"), self._typed("ends")
        if not isinstance(starts, time) or not isinstance(ends, time) or ends <= starts:
            return None
        return (
            datetime.combine(day, starts, home.zone),
            datetime.combine(day, ends, home.zone),
        )

    def _raw(self, name: str) -> str:
        """Return what stands in a field, typed or to begin with."""
        if self.is_bound:
            return str(self.data.get(self.add_prefix(name)) or "").strip()
        field = self.fields.get(name)
        known = self.initial.get(name, field.initial if field else "")
        return str(known or "")

    def _typed(self, name: str) -> Any:
        """Return a field's value if what stands in it is right."""
        field = self.fields[name]
        try:
            return field.clean(self._raw(name))
        except ValidationError:
            return None

    def write(self, *, by: User, now: datetime) -> Gathering:
        data, place = self.cleaned_data, self.place()
        assert place is not None  # noqa: S101  `clean_where` has refused none
        if data["starts_at"] <= now:
            words = _("That time is past. Choose a day and time to come.")
            raise ValidationError({"day": words})
        return services.set_up_with_evening(
            founder=by,
            founder_name=data["founder_name"],
            demonstration={
                "name": data["name"],
                "year": data["day"].year,
                "crop": data["crop"],
                "place_name": place.name,
                "latitude": place.latitude,
                "longitude": place.longitude,
                "time_zone": place.time_zone,
                "jurisdiction": data.get("rules") or place.rules,
            },
            plot={
                "name": _("The field"),
                "area": data["area"],
                "measure": data["measure"],
            },
            starts_at=data["starts_at"],
            ends_at=data["ends_at"],
            now=now,
        )


def as_typed(form: Submits, data: QueryDict) -> dict[str, Any]:
    """Return what was typed into a form, field by field, right or wrong."""
    return {
        name: field.widget.value_from_datadict(data, {}, form.add_prefix(name))
        for name, field in form.fields.items()
    }
