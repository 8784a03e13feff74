"""The land as a heading: the day's sun and evening, what stands and is in stooks."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from heritage.calc.daylight import SunTimes, sun_times
from heritage.common.questions import Question
from heritage.gatherings.ground.selectors import Light
from heritage.gatherings.models import Gathering
from heritage.season.models import Demonstration, Stage

# Over so much of the day before its start the strip shows the evening alone, so that
# what is left of it can be read; earlier it shows the whole day. Our own choice.
NEARS = timedelta(hours=3)


@dataclass(frozen=True, slots=True)
class FieldNow:
    """What of the crop is pulled, between its bounds, and how many stooks stand."""

    low_percent: int
    high_percent: int
    is_measured: bool
    pulled_words: str
    stooks: int

    @property
    def words(self) -> str:
        """The field in words."""
        words = ngettext(
            "%d stook in the field.", "%d stooks in the field.", self.stooks
        )
        stooks = words % self.stooks
        return f"{self.pulled_words}. {stooks if self.stooks else ''}".strip()


# The ledger of the crop stands above gatherings, and answers; nothing, where nobody
# can say how much the ground may give.
field_of = Question[[Demonstration], FieldNow | None](
    "what of a demonstration's crop still stands"
)


@dataclass(frozen=True, slots=True)
class Land:
    """One day over the field: the sun, an evening if there is one, and the ground."""

    field: FieldNow
    light: Light
    sun: SunTimes
    # Only on the day itself.
    now: datetime | None = None
    starts: datetime | None = None
    ends: datetime | None = None

    @property
    def is_near(self) -> bool:
        """Whether the strip shows the evening alone."""
        if self.starts is None:
            return False
        return self.now is None or self.starts - self.now <= NEARS

    @property
    def words(self) -> str:
        """The whole drawing in words."""
        said = [self.field.words]
        if self.starts and self.ends:
            said.append(
                _("The evening is planned %(start)s to %(end)s.")
                % {"start": f"{self.starts:%H:%M}", "end": f"{self.ends:%H:%M}"}
            )
        said.append(_("The light: %s.") % self.light.words)
        return " ".join(said)


def land_of_day(
    demonstration: Demonstration,
    field: FieldNow | None,
    light: Light,
    now: datetime,
    evening: Gathering | None = None,
) -> Land | None:
    """Return the land of one day; nothing where nobody can say what stands."""
    if field is None:
        return None
    zone = demonstration.zone
    local = now.astimezone(zone)
    evening = None if evening and evening.is_called_off else evening
    return Land(
        field=field,
        light=light,
        sun=_sun(demonstration, light.day),
        now=local if local.date() == light.day else None,
        starts=evening.starts_at.astimezone(zone) if evening else None,
        ends=evening.ends_at.astimezone(zone) if evening else None,
    )


def land_of(gathering: Gathering, light: Light, now: datetime) -> Land | None:
    """Return the land of a gathering's day; work indoors has none.

    Nor has a day that is past: nobody knows how the field stood then.
    """
    demonstration = gathering.demonstration
    is_past = light.day < now.astimezone(demonstration.zone).date()
    if is_past or Stage(gathering.stage).kind.indoors:
        return None
    field = field_of(demonstration)
    return land_of_day(demonstration, field, light, now, gathering)


def _sun(demonstration: Demonstration, day: date) -> SunTimes:
    return sun_times(
        day,
        float(demonstration.latitude),
        float(demonstration.longitude),
        timezone=demonstration.zone,
        skyline_deg=float(demonstration.skyline_deg),
    )
