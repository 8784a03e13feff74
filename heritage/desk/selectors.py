"""What a thing to do is; and when the crop may be ready, for the season board."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import Enum, auto

from django.db.models import TextChoices
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from heritage.dam.models import Ret
from heritage.gatherings.models import Gathering
from heritage.growth.selectors import Window, pulling_window
from heritage.season.models import Demonstration, Stage
from heritage.season.selectors import Season

# Within a week an evening is known by its day; one that begins later is an evening.
A_WEEK = timedelta(days=6)
EVENING_FROM = 17


class Subject(TextChoices):
    """What a thing to do is about: the folds of Today, in their order."""

    GATHERINGS = "gatherings", gettext_lazy("Gatherings")
    DAM = "dam", gettext_lazy("The dam")
    CROP = "crop", gettext_lazy("The crop")
    SAFETY = "safety", gettext_lazy("Safety")
    PEOPLE = "people", gettext_lazy("People and e-mails")
    RECORDS = "records", gettext_lazy("Records")

    @property
    def sketch(self) -> str:
        """The mark drawn beside the words."""
        marks = {
            "dam": "water",
            "safety": "stop",
            "people": "phone",
            "records": "sheet",
        }
        return marks.get(self.value, self.value)


class Hour(Enum):
    """The part of the day in which a thing is best done."""

    MORNING = auto()
    AFTERNOON = auto()
    AFTER = auto()
    ANY = auto()


@dataclass(frozen=True, slots=True)
class Todo:
    """One thing that needs doing, and the address that does it.

    ``act`` is what its button says. A ``gathering`` to be called and the water of a
    ``ret`` to be read are done on Today itself.
    """

    subject: Subject
    words: str
    why: str
    url: str
    is_due: bool = False
    act: str = ""
    hour: Hour = Hour.ANY
    is_alarm: bool = False
    gathering: Gathering | None = None
    ret: Ret | None = None


def day_of(row: Gathering, now: datetime) -> str:
    """Say on which day a gathering is, as people say it: tonight, Thursday."""
    at, here = (one.astimezone(row.demonstration.zone) for one in (row.starts_at, now))
    if at.date() == here.date():
        return _("tonight") if at.hour >= EVENING_FROM else _("today")
    if here.date() <= at.date() <= (here + A_WEEK).date():
        return date_format(at, "l")
    return f"{at:%a} {at.day} {at:%b}"


def dated(row: Gathering) -> str:
    """Name a gathering by its day too: many evenings share a title."""
    day = row.starts_at.astimezone(row.demonstration.zone)
    return f"{row.title}, {day:%a} {day.day} {day:%b}"


def window_ahead(demonstration: Demonstration, page: Season) -> Window | None:
    """Return when the crop is likely ready, while it is not pulled: four queries."""
    (pulling,) = (line for line in page.stages if line.stage == Stage.PULLING)
    return None if pulling.state == "done" else pulling_window(demonstration)
