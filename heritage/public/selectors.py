"""The site's first page, and a demonstration as a visitor sees it."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.core.paginator import Page, Paginator
from django.db.models import OuterRef, QuerySet, Subquery
from django.utils.translation import gettext as _

from heritage.common.models import Viewer
from heritage.gatherings.models import Gathering, Station
from heritage.gatherings.selectors import (
    GatheringLine,
    gathering_lines,
    next_gatherings,
)
from heritage.people.models import AgeBand, User
from heritage.pictures.models import Picture
from heritage.pictures.selectors import newest_published
from heritage.public import words
from heritage.public.process.words import text_of, told_here
from heritage.public.story.selectors import WaterLine, season_here, waters
from heritage.season.models import Demonstration, Stage
from heritage.season.selectors import Knot, thread
from heritage.tally.selectors import FieldProgress, field_progress

NEXT_SHOWN = 4
PICTURES_SHOWN = 2
# Enough to find one that is wide among them.
PICTURES_LOOKED_AT = 8
ON_A_PAGE = 20


@dataclass(frozen=True, slots=True)
class HomeLine:
    """A demonstration in a list, with its next gathering if one is posted."""

    demonstration: Demonstration
    next_up: Gathering | None


@dataclass(frozen=True, slots=True)
class HomePage:
    """One's own demonstrations, and a page of those open to visitors."""

    mine: list[HomeLine]
    open: list[HomeLine]
    page: Page[Demonstration]


@dataclass(frozen=True, slots=True)
class Front:
    """A demonstration's first page: what it is, when to come, how far it has got."""

    demonstration: Demonstration
    now: datetime
    pictures: tuple[Picture, ...]
    progress: FieldProgress
    thread: list[Knot]
    dams: list[WaterLine]
    dates: list[GatheringLine]

    @property
    def cover(self) -> Picture | None:
        """The newest picture that is wide enough to go across the page."""
        wide = (one for one in self.pictures if one.width > one.height)
        return next(wide, None)

    @property
    def others(self) -> list[Picture]:
        """The pictures below the fold."""
        return [one for one in self.pictures if one != self.cover][:PICTURES_SHOWN]

    @property
    def next_up(self) -> GatheringLine | None:
        """The next gathering that is not called off."""
        on = (line for line in self.dates if not line.gathering.is_called_off)
        return next(on, None)

    @property
    def stage(self) -> Stage | None:
        """What is being done: the next gathering's work, else the last begun."""
        going = [knot.stage for knot in self.thread if knot.state == "going"]
        if self.next_up and self.next_up.gathering.stage in going:
            return Stage(self.next_up.gathering.stage)
        return going[-1] if going else None

    @property
    def sentence(self) -> str:
        """How things stand, which leads the page."""
        if self.stage:
            return told_here(text_of(self.stage.value), self.demonstration).now
        return _("One field of %s, from seed to fibre") % self.demonstration.crop

    @property
    def invitation(self) -> str:
        """When to come, after what may be done there."""
        if self.next_up is None:
            return _("Come and look, or come and help. No date is set yet.")
        row, zone = self.next_up.gathering, self.demonstration.zone
        return _("Come and look, or come and help: %s.") % words.when(
            row.starts_at.astimezone(zone), row.ends_at.astimezone(zone), self.now
        )

    @property
    def what_it_is(self) -> str:
        """What this is, where nobody has said it in the place's own words."""
        return _(
            "People here grow a field of %(crop)s and work it by hand, in the open, "
            "from the standing crop to fibre."
        ) % {"crop": self.demonstration.crop}

    @property
    def is_field_told(self) -> bool:
        """Whether the field is still worth a plan: until all of it is pulled."""
        (pulling,) = (knot for knot in self.thread if knot.stage == Stage.PULLING)
        return self.progress.has_stand and pulling.state != "done"


def home(user: Viewer, now: datetime, page_number: str | None = None) -> HomePage:
    """Return the first page: three queries, and a fourth for somebody signed in."""
    own = _own(user, now)
    others = Demonstration.objects.visible_to(user).exclude(
        pk__in=[row.pk for row in own]
    )
    page = Paginator(_with_next(others, now), ON_A_PAGE).get_page(page_number)
    rows = list(page.object_list)
    keys = [_next_key(row) for row in [*own, *rows]]
    nearest = Gathering.objects.in_bulk([key for key in keys if key])
    return HomePage(_lines(own, nearest), _lines(rows, nearest), page)


def front(demonstration: Demonstration, user: Viewer, now: datetime) -> Front:
    """Return a demonstration's first page: a fixed number of queries."""
    return Front(
        demonstration=demonstration,
        now=now.astimezone(demonstration.zone),
        pictures=newest_published(demonstration, PICTURES_LOOKED_AT),
        progress=field_progress(demonstration),
        thread=thread(season_here(demonstration)),
        dams=waters(demonstration, now),
        dates=next_gatherings(demonstration, now, user, NEXT_SHOWN),
    )


def _own(user: Viewer, now: datetime) -> list[Demonstration]:
    """Return where somebody is on the list; a keeper's reach is not membership."""
    if not isinstance(user, User):
        return []
    joined = user.volunteers.active().values("demonstration")
    return list(_with_next(Demonstration.objects.filter(pk__in=joined), now))


def _with_next(rows: QuerySet[Demonstration], now: datetime) -> QuerySet[Demonstration]:
    """Put the key of the next gathering that goes ahead on each row."""
    posted = Gathering.objects.filter(demonstration=OuterRef("pk")).going_ahead()
    nearest = Subquery(posted.upcoming(now).values("pk")[:1])
    return rows.order_by("-year", "name", "pk").annotate(next_key=nearest)


def _next_key(row: Demonstration) -> int | None:
    key: int | None = getattr(row, "next_key", None)
    return key


def _lines(
    rows: Iterable[Demonstration], nearest: dict[int, Gathering]
) -> list[HomeLine]:
    return [HomeLine(row, nearest.get(_next_key(row) or 0)) for row in rows]


@dataclass(frozen=True, slots=True)
class Poster:
    """A gathering with its light and its newest call, to be hung on a gate."""

    line: GatheringLine
    stations: tuple[Station, ...]

    @property
    def gathering(self) -> Gathering:
        return self.line.gathering

    @property
    def standing(self) -> str:
        """One of ``off``, ``hold`` or nothing: a poster may not send people in vain."""
        if self.gathering.is_called_off:
            return "off"
        return "hold" if self.line.is_on_hold else ""

    @property
    def is_at_water(self) -> bool:
        """Whether some of the work has hands over or at the water."""
        stage = self.gathering.stage
        return any(station.work.is_at_water(stage) for station in self.stations)

    @property
    def is_for_adults(self) -> bool:
        """Whether every station asks for adults."""
        return bool(self.stations) and all(
            station.least_age == AgeBand.ADULT for station in self.stations
        )


def poster(gathering: Gathering) -> Poster:
    """Return a gathering as its poster tells of it: three queries."""
    stations = tuple(gathering.stations.in_order())
    return Poster(gathering_lines([gathering])[0], stations)
