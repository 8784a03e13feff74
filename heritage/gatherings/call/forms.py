"""The call: the weather at the gate, and what is decided."""

import uuid
from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from crispy_forms.layout import Fieldset, Row
from django import forms
from django.core import signing
from django.core.exceptions import ValidationError
from django.http import QueryDict
from django.utils.translation import gettext_lazy as _

from heritage.common.folding import layout_of
from heritage.common.forms import ServiceForm
from heritage.gatherings.call import services
from heritage.gatherings.call.selectors import Advice, advise
from heritage.gatherings.call.services import EveningForecast, make_call
from heritage.gatherings.ground.forms import ButtonForm, NeededAtTimes
from heritage.gatherings.models import TAKE_BACK, Call, Decision, Gathering, WhyOff
from heritage.people.models import User
from heritage.season.models import Part, Stage

MPH_TO_MS = 0.44704
KMH_TO_MS = 1 / 3.6
WIND = {"mph": MPH_TO_MS, "kmh": KMH_TO_MS, "ms": 1.0}
WET_MM = "0.2"
# What the forecast filled in comes back with the form, signed.
SALT = "gatherings.foreseen"
FORESEEN_FOR = timedelta(hours=6)
# Where a reading's name is not its field's.
NAMES = {"wind": "wind_ms"}


def _number(label: Any, least: float, most: float, hint: Any) -> forms.FloatField:
    return forms.FloatField(
        label=label,
        min_value=least,
        max_value=most,
        required=False,
        help_text=hint,
        widget=forms.NumberInput(attrs={"inputmode": "decimal", "step": "any"}),
    )


def _yes_or_no(label: Any, no: Any, yes: Any) -> forms.TypedChoiceField:
    return forms.TypedChoiceField(
        label=label,
        choices=[("", _("not checked")), ("0", no), ("1", yes)],
        coerce=lambda typed: typed == "1",
        empty_value=None,
        required=False,
    )


def filled_in(sent: QueryDict, forecast: EveningForecast, zone: ZoneInfo) -> QueryDict:
    """Return what was sent with the empty fields filled in from the forecast.

    What somebody typed at the gate is never typed over.
    """
    data, fields = sent.copy(), {}
    unit = data.get("wind_in") or "mph"
    data["wind_in"] = unit
    for name, seen in forecast.readings.items():
        field = {"wind_ms": "wind"}.get(name, name)
        if (data.get(field) or "").strip():
            continue
        value = seen.value / WIND[unit] if field == "wind" else seen.value
        data[field] = f"{value:.1f}"
        fields[field] = {
            "text": data[field],
            "in": unit,
            "hour": f"{seen.hour.astimezone(zone):%H:%M}",
            "read": f"{forecast.read_at.astimezone(zone):%H:%M}",
        }
    thunder = forecast.thunder_at
    foreseen = {"fields": fields, "thunder_at": thunder and thunder.isoformat()}
    data["foreseen"] = signing.dumps(foreseen, salt=SALT)
    return data


def filled_out(sent: QueryDict, seen: Mapping[str, Any]) -> QueryDict:
    """Return a decision sent by itself with what is known of the crop beside it.

    The whole form sends what it shows, and nothing is put in its place.
    """
    if "wind_in" in sent:
        return sent
    data = sent.copy()
    for name, value in {"wind_in": "mph", **seen}.items():
        data.setdefault(name, "" if value is None else str(value))
    return data


class WhyOffField(NeededAtTimes, forms.ChoiceField):
    """Why it is off: needed once it is called off."""


class CallForm(ServiceForm):
    """Everything may stay empty; what is not known is said to be unknown."""

    key = forms.UUIDField(widget=forms.HiddenInput)
    foreseen = forms.CharField(required=False, widget=forms.HiddenInput)
    rain_mm_per_h = _number(
        _("Rain"), 0, 200, _("Millimetres an hour. 0 for dry; drizzle is about 0.2.")
    )
    wind = _number(_("Wind"), 0, 150, _("The steady wind, not the gusts."))
    wind_in = forms.ChoiceField(
        label=_("Wind is in"),
        choices=[
            ("mph", _("miles an hour")),
            ("kmh", _("kilometres an hour")),
            ("ms", _("metres a second")),
        ],
        initial="mph",
    )
    temp_c = _number(_("Temperature"), -30, 50, _("Degrees Celsius."))
    relative_humidity = _number(_("Humidity"), 0, 100, _("Per cent."))
    minutes_since_thunder = _number(
        _("Minutes since thunder was heard"),
        0,
        1440,
        _("Leave it empty if there was none. Under 30, nobody goes back out."),
    )
    flash_to_bang_s = _number(
        _("Seconds from flash to bang"), 0, 300, _("30 or less: take cover at once.")
    )
    canopy_wet_mm = forms.TypedChoiceField(
        label=_("The crop"),
        choices=[
            ("", _("not checked")),
            ("0", _("dry: hands stay dry")),
            (WET_MM, _("wet: hands come away wet (counted as 0.2 mm)")),
        ],
        coerce=float,
        empty_value=None,
        required=False,
    )
    ground_is_soft = _yes_or_no(
        _("The ground"), _("firm"), _("soft: wheels or feet sink in")
    )
    crop_is_green = _yes_or_no(
        _("Ready to pull"), _("yes"), _("not yet: stems still green")
    )
    lodged_percent = _number(
        _("Crop lying flat"), 0, 100, _("Per cent of the plot: 0 upright, 100 flat.")
    )
    decision = forms.ChoiceField(
        label=_("You decide"),
        choices=Decision,
        required=False,
        widget=forms.RadioSelect,
    )
    why_off = WhyOffField(
        label=_("If you call it off: why"),
        choices=[("", _("choose")), *WhyOff.choices],
        required=False,
        help_text=_("Rain and wet crop count as a wet evening in the finish forecast."),
    )
    note = forms.CharField(
        label=_("In your own words"),
        max_length=300,
        required=False,
        help_text=_("Goes into the e-mail and onto the page."),
    )

    def __init__(self, *args: Any, gathering: Gathering, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.gathering = gathering
        self.fields["key"].initial = uuid.uuid4
        crop = self._of_the_crop()
        self.helper = layout_of(
            "foreseen",
            Fieldset(
                _("At the gate"),
                Row("rain_mm_per_h", "canopy_wet_mm"),
                Row("wind", "wind_in"),
                Row("temp_c", "relative_humidity"),
            ),
            *([Fieldset(_("Crop and ground"), Row(*crop))] if crop else []),
            Fieldset(_("Thunder"), Row("minutes_since_thunder", "flash_to_bang_s")),
        )

    def _of_the_crop(self) -> list[str]:
        """Keep what this stage of the work can be asked about its crop and ground."""
        stage = Stage(self.gathering.stage)
        asked = {
            "ground_is_soft": stage.kind.part == Part.FIELD,
            "crop_is_green": stage == Stage.PULLING,
            "lodged_percent": stage == Stage.PULLING,
        }
        for name, is_asked in asked.items():
            if not is_asked:
                del self.fields[name]
        return [name for name, is_asked in asked.items() if is_asked]

    def clean_foreseen(self) -> dict[str, Any]:
        """Return what the forecast filled in; what was not signed here is nothing."""
        try:
            foreseen: dict[str, Any] = signing.loads(
                self.cleaned_data["foreseen"], salt=SALT, max_age=FORESEEN_FOR
            )
        except signing.BadSignature:
            return {}
        return foreseen

    def sources(self) -> dict[str, dict[str, str]]:
        """Return which readings are the forecast's still, and not typed over."""
        fields = self.cleaned_data["foreseen"].get("fields", {})
        if "wind" in fields and self.data.get("wind_in") != fields["wind"]["in"]:
            fields = {name: source for name, source in fields.items() if name != "wind"}
        return {
            NAMES.get(name, name): {"hour": source["hour"], "read": source["read"]}
            for name, source in fields.items()
            if self.data.get(name) == source["text"]
        }

    @property
    def foreseen_words(self) -> list[str]:
        """Say which fields are the forecast's, and for which hour."""
        fields = {read: field for field, read in NAMES.items()}
        return [
            _("%(what)s for %(hour)s, read at %(read)s")
            % (
                source
                | {"what": str(self.fields[fields.get(name, name)].label).lower()}
            )
            for name, source in self.sources().items()
        ]

    def thunder_at(self) -> datetime | None:
        """Return when the forecast that was read has thunder."""
        moment = self.cleaned_data["foreseen"].get("thunder_at")
        return datetime.fromisoformat(moment) if moment else None

    def readings(self) -> dict[str, float | None]:
        """Return what was read, in the units of the calculation."""
        data = self.cleaned_data
        wind = data["wind"]
        return {
            "rain_mm_per_h": data["rain_mm_per_h"],
            "wind_ms": None if wind is None else wind * WIND[data["wind_in"]],
            "temp_c": data["temp_c"],
            "relative_humidity": data["relative_humidity"],
            "minutes_since_thunder": data["minutes_since_thunder"],
            "flash_to_bang_s": data["flash_to_bang_s"],
            "canopy_wet_mm": data["canopy_wet_mm"],
            "lodged_percent": data.get("lodged_percent"),
            "crop_is_green": data.get("crop_is_green"),
            "ground_is_soft": data.get("ground_is_soft"),
        }

    def advice(self, now: datetime) -> Advice | None:
        """Return what the figures advise, once nothing is left to change."""
        if not self.is_valid():
            return None
        self.fields["decision"].required = True
        thunder_at = self.thunder_at()
        return advise(self.gathering, self.readings(), now, thunder_at=thunder_at)

    def write(self, *, by: User, now: datetime) -> Call:
        """Make the call that was chosen."""
        data = self.cleaned_data
        if not data["decision"]:
            raise ValidationError({"decision": _("Choose what you decide.")})
        return make_call(
            gathering=self.gathering,
            readings=self.readings(),
            decision=Decision(data["decision"]),
            why_off=WhyOff(data["why_off"]) if data["why_off"] else None,
            note=data["note"],
            by=by,
            now=now,
            key=data["key"],
            sources=self.sources(),
            thunder_at=self.thunder_at(),
            held_for=TAKE_BACK,
        )


class ThatCallForm(ButtonForm):
    """A decision that was just made: what the buttons beside it send."""

    call = forms.ModelChoiceField(
        Call.objects.none(),
        error_messages={
            "invalid_choice": _("That decision has already been taken back.")
        },
    )

    def __init__(self, *args: Any, gathering: Gathering, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.offer("call", gathering.calls.select_related("gathering"))

    def write(self, *, take_back: bool, by: User, now: datetime) -> int:
        """Take it back, or send its letters; return how many know or are written to."""
        service = services.take_back if take_back else services.send_now
        return service(call=self.cleaned_data["call"], by=by, now=now)
