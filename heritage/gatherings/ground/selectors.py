"""What every part reads of a gathering: times, light, places, calendar entries."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.conf import settings
from django.core.exceptions import ValidationError
from django.utils.formats import date_format
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from heritage.briefings.models import Briefing
from heritage.calc.daylight import sun_times, working_window
from heritage.gatherings.ground.words import why_it_ends
from heritage.gatherings.models import (
    Call,
    Decision,
    Gathering,
    SignUp,
    Station,
    StationKind,
)
from heritage.kits.ical import Entry
from heritage.people.letters.selectors import LetterLine, address_of, letters_in_trouble
from heritage.people.models import Volunteer
from heritage.season.models import AT_THE_DAM, Demonstration, Stage


def local_moment(day: date, clock: time, zone: ZoneInfo) -> datetime:
    """Return the moment, refusing a time the clocks skip or strike twice."""
    moment = datetime.combine(day, clock, zone)
    if moment.utcoffset() == moment.replace(fold=1).utcoffset():
        return moment.astimezone(UTC)
    back = moment.astimezone(UTC).astimezone(zone)
    if back.replace(tzinfo=None) != moment.replace(tzinfo=None):
        raise ValidationError(
            _(
                "The clocks go forward that night, so there's no such time. Choose "
                "another."
            )
        )
    raise ValidationError(
        _("The clocks go back that night, so that time comes twice. Choose another.")
    )


# A start in the small hours belongs to the evening before it.
SMALL_HOURS = 3
MINUTE = timedelta(minutes=1)


@dataclass(frozen=True, slots=True)
class Light:
    """An evening's light, in the demonstration's own time."""

    day: date
    sunset: datetime | None
    dusk: datetime | None
    first: datetime | None
    stop: datetime | None
    why: str
    # Whether the work is all at the water or with machines: not for the dusk.
    is_by_sunset: bool = False

    @property
    def is_there(self) -> bool:
        """Whether the day has any light to work by."""
        return self.first is not None

    @property
    def words(self) -> str:
        """The light in one line."""
        if not self.is_there:
            return _("no daylight to work by")
        if self.stop is None:
            return _("light all night")
        if self.is_by_sunset and self.sunset:
            return _("stop by sunset, %s") % f"{self.sunset:%H:%M}"
        if self.sunset is None:
            return _("stop at %s") % f"{self.stop:%H:%M}"
        return _("sunset %(sunset)s, stop at %(stop)s") % {
            "sunset": f"{self.sunset:%H:%M}",
            "stop": f"{self.stop:%H:%M}",
        }

    @property
    def machines_stop(self) -> datetime | None:
        """When machines and work at the water stop: at sunset, or with the light."""
        return self.sunset or self.stop

    def hours_left(self, start: datetime, end: datetime) -> float:
        """Return how many hours of a span have light."""
        if self.first is None:
            return 0.0
        latest = min(end, self.stop) if self.stop else end
        lit = latest - max(start, self.first)
        return max(0.0, lit / timedelta(hours=1))


def evening_of(starts_at: datetime, demonstration: Demonstration) -> date:
    """Return the local day whose evening a gathering belongs to."""
    local = starts_at.astimezone(demonstration.zone)
    back = timedelta(days=1 if local.hour < SMALL_HOURS else 0)
    return (local - back).date()


def light_of_day(demonstration: Demonstration, day: date) -> Light:
    """Work out the light of one day where the demonstration is."""
    place = (float(demonstration.latitude), float(demonstration.longitude))
    skyline = float(demonstration.skyline_deg)
    zone = demonstration.zone
    sun = sun_times(day, *place, timezone=zone, skyline_deg=skyline)
    window = working_window(
        day,
        *place,
        timezone=zone,
        margin=demonstration.stop_margin_min * MINUTE,
        skyline_deg=skyline,
    )
    if window is None:
        return Light(day, sun.sunset, sun.dusk, None, None, _("there is no daylight"))
    stop = window.end if sun.dusk else None
    return Light(
        day, sun.sunset, sun.dusk, window.start, stop, why_it_ends(window.why_it_ends)
    )


def light_of(gathering: Gathering) -> Light:
    """Work out the light of a gathering's evening."""
    where, stage = gathering.demonstration, gathering.stage
    light = light_of_day(where, evening_of(gathering.starts_at, where))
    by_sunset = stage in AT_THE_DAM or stage == Stage.CARTING
    return replace(light, is_by_sunset=by_sunset)


def light_warnings(
    light: Light, gathering: Gathering, stations: Iterable[Station]
) -> list[str]:
    """Say in plain words where the times asked run out of light."""
    if light.first is None:
        return [_("There is no daylight to work by on that day.")]
    ends, warnings = gathering.ends_at, []
    if gathering.starts_at < light.first:
        warnings.append(
            _("It begins before there is light enough, at %s.") % f"{light.first:%H:%M}"
        )
    if light.stop and ends > light.stop:
        warnings.append(
            _("These times run past the light. Stop at %(stop)s, %(why)s.")
            % {"stop": f"{light.stop:%H:%M}", "why": light.why}
        )
    early = [station.title for station in stations if station.work.stops_by_sunset]
    if early and light.sunset and ends > light.sunset:
        warnings.append(
            _(
                "Stop by sunset, %(sunset)s: %(stations)s. Nobody works a machine or "
                "at the water in the dusk."
            )
            % {
                "sunset": f"{light.sunset:%H:%M}",
                "stations": ", ".join(early),
            }
        )
    return warnings


def when(gathering: Gathering, starts: datetime, ends: datetime) -> str:
    """Write a span in the demonstration's own time."""
    zone = gathering.demonstration.zone
    start, end = starts.astimezone(zone), ends.astimezone(zone)
    return _("%(day)s, %(start)s to %(end)s") % {
        "day": date_format(start, "l j F Y"),
        "start": f"{start:%H:%M}",
        "end": f"{end:%H:%M}",
    }


def was(gathering: Gathering) -> str:
    """Say when and where a gathering that has moved was first to be, or nothing."""
    place, first = gathering.moved_from_place, gathering.moved_from
    start = first and first.astimezone(gathering.demonstration.zone)
    values = {
        "place": place,
        "day": start and date_format(start, "l j F Y"),
        "start": start and f"{start:%H:%M}",
    }
    if start and place:
        words = _("It was to be on %(day)s at %(start)s, at %(place)s.")
    elif start:
        words = _("It was to be on %(day)s at %(start)s.")
    elif place:
        words = _("It was to meet at %(place)s.")
    else:
        return ""
    return words % values


def folded(name: str) -> str:
    """Return a name as names are compared: capitals and spaces tell nobody apart."""
    return " ".join(name.split()).casefold()


def by_folded_name(demonstration: Demonstration) -> dict[str, list[Volunteer]]:
    """Return a demonstration's people by their names as those are compared."""
    people: dict[str, list[Volunteer]] = {}
    for person in Volunteer.objects.of(demonstration).active().by_name():
        people.setdefault(folded(person.name), []).append(person)
    return people


def named(gathering: Gathering, name: str) -> list[Volunteer]:
    """Return those of the demonstration who bear a name."""
    return by_folded_name(gathering.demonstration).get(folded(name), [])


def calendar_entry(gathering: Gathering) -> Entry:
    """Return the entry; it names no volunteer and depends on the row alone."""
    demonstration = gathering.demonstration
    return Entry(
        uid=gathering.uid,
        stamp=gathering.revised_at,
        starts=gathering.starts_at,
        ends=gathering.ends_at,
        summary=_("%(title)s, %(demonstration)s")
        % {"title": gathering.title, "demonstration": demonstration.name},
        location=f"{gathering.place}, {demonstration.place_name}",
        description=_description(gathering),
        url=address(gathering),
        sequence=gathering.sequence,
        cancelled=gathering.is_called_off,
        categories=[gathering.get_stage_display()],
    )


def address(gathering: Gathering) -> str:
    """Return the whole web address of a gathering's page."""
    return f"{settings.SITE_ADDRESS}{gathering.get_absolute_url()}"


def _description(gathering: Gathering) -> str:
    if gathering.is_called_off:
        return _("Called off. Please don't come.")
    parts = [was(gathering), gathering.note]
    lines = [words for words in parts if words]
    if gathering.bring:
        lines.append(_("Bring: %s") % gathering.bring)
    lines.append(_("The light: %s.") % light_of(gathering).words)
    return "\n".join(lines)


def homes_of(entries: Iterable[SignUp]) -> list[list[SignUp]]:
    """Put those together who share an address; who has none stands alone."""
    homes: dict[str, list[SignUp]] = {}
    for entry in entries:
        where = address_of(entry.volunteer).lower() or f"volunteer {entry.volunteer_id}"
        homes.setdefault(where, []).append(entry)
    return list(homes.values())


def reader_of(entries: Iterable[SignUp]) -> Volunteer:
    """Return who reads the letter: an adult before a child at the same address."""
    people = [entry.volunteer for entry in entries]
    return next((one for one in people if one.guardian is None), people[0])


def letters_about(gathering: Gathering, now: datetime) -> tuple[LetterLine, ...]:
    """Return the letters about a gathering that did not arrive."""
    where = gathering.demonstration
    return letters_in_trouble(where, matter_of(gathering), now)


def matter_of(gathering: Gathering) -> str:
    """Name a gathering as the matter of letters in the book."""
    return f"gathering {gathering.pk}"


def call_in_words(gathering: Gathering, call: Call) -> str:
    """Say the call as a short text for a telephone; it names nobody."""
    decision = Decision(call.decision)
    said = {
        Decision.GO: "%s",
        Decision.HOLD: _("%s, please wait for word before you set out"),
        Decision.OFF: _("%s, please don't come"),
    }[decision] % capfirst(decision.state)
    words = _("%(said)s: %(title)s, %(when)s, %(place)s.") % {
        "said": said,
        "title": gathering.title,
        "when": when(gathering, gathering.starts_at, gathering.ends_at),
        "place": gathering.place,
    }
    lines = [words, call.note, gathering.demonstration.name, address(gathering)]
    return "\n".join(line for line in lines if line)


@dataclass(frozen=True, slots=True)
class Filling:
    """Places, the fewest needed, and how many hold one, wait, or have not answered."""

    places: int
    fewest: int
    held: int
    waiting: int = 0
    unanswered: int = 0
    # Of those who wait, who could not be given a place today.
    barred: int = 0

    @property
    def short(self) -> int:
        """How many are missing before the work can start."""
        return max(0, self.fewest - self.held)

    @property
    def over(self) -> int:
        """How many are there beyond the places."""
        return max(0, self.held - self.places)

    @property
    def free(self) -> int:
        """The places nobody holds and nobody who waits could have."""
        return max(0, self.places - self.held - self.waiting + self.barred)

    @property
    def is_full(self) -> bool:
        return self.free == 0

    @property
    def mark(self) -> str:
        """The state's mark: too few or too many, full, or neither."""
        if self.short or self.over:
            return "due"
        return "full" if self.is_full else "planned"

    @property
    def words(self) -> str:
        """Say what is short, full or free, and who waits or has yet to answer."""
        parts = [self._state(), *self._more()]
        return ", ".join(parts)

    def _state(self) -> str:
        if self.short:
            words = ngettext("one more needed", "%(n)d more needed", self.short)
            return words % {"n": self.short}
        if self.over:
            return _("%d more than its places") % self.over
        if self.is_full:
            return _("full")
        words = ngettext("%(n)d place left", "%(n)d places left", self.free)
        return words % {"n": self.free}

    def _more(self) -> list[str]:
        parts = []
        if self.waiting:
            parts.append(_("%d waiting") % self.waiting)
        if self.unanswered:
            parts.append(_("%d not answered yet") % self.unanswered)
        return parts


def filling_of(station: Station) -> Filling:
    """Return how full a station is that was read ``with_counts``."""
    return Filling(
        station.places,
        station.fewest,
        held=station.held,
        waiting=station.waiting,
        unanswered=station.unanswered,
        # Every change moves the queue up at once: who waits beside a free place could
        # not be given it, so that it is free for who can.
        barred=station.waiting if station.held < station.places else 0,
    )


def usual_briefing(demonstration: Demonstration) -> Briefing | None:
    """Return the briefing last asked of pullers, or the first one composed."""
    stations = Station.objects.of(demonstration).of_kind(StationKind.PULL)
    last = stations.select_related("briefing").order_by("-pk").first()
    if last:
        return last.briefing
    return Briefing.objects.of(demonstration).order_by("pk").first()
