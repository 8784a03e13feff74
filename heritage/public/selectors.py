"""The site's first page, and a demonstration as a visitor sees it."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.core.paginator import Page, Paginator
from django.db.models import OuterRef, QuerySet, Subquery

from heritage.common.models import Viewer
from heritage.dam.selectors import DamState, dam_states
from heritage.gatherings.models import Gathering, Station
from heritage.gatherings.selectors import (
    GatheringLine,
    gathering_lines,
    next_gatherings,
)
from heritage.people.models import AgeBand, User
from heritage.pictures.models import Picture
from heritage.pictures.selectors import newest_published
from heritage.season.models import Demonstration
from heritage.season.selectors import Season, season
from heritage.tally.selectors import FieldProgress, field_progress

NEXT_SHOWN = 4
PICTURES_SHOWN = 3
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
class WaterLine:
    """A dam with flax in it, for visitors: how far along, and no day for lifting."""

    dam: str
    day: int
    low_percent: int | None
    high_percent: int | None

    @property
    def is_far_along(self) -> bool:
        """Whether the water may have had all the time it needs."""
        return self.high_percent is not None and self.high_percent >= 100


@dataclass(frozen=True, slots=True)
class DemonstrationPage:
    """A demonstration as a visitor sees it."""

    demonstration: Demonstration
    pictures: tuple[Picture, ...]
    progress: FieldProgress
    season: Season
    dams: list[WaterLine]
    next_up: list[GatheringLine]


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


def demonstration_page(
    demonstration: Demonstration, user: Viewer, now: datetime
) -> DemonstrationPage:
    """Return the page of a demonstration: a fixed number of queries."""
    states = dam_states(demonstration, now)
    return DemonstrationPage(
        demonstration=demonstration,
        pictures=newest_published(demonstration, PICTURES_SHOWN),
        progress=field_progress(demonstration),
        season=season(demonstration),
        dams=[line for line in map(_water, states) if line],
        next_up=next_gatherings(demonstration, now, user, NEXT_SHOWN),
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


def _water(state: DamState) -> WaterLine | None:
    if state.ret is None:
        return None
    low, high = state.ret.percents or (None, None)
    return WaterLine(state.dam.name, state.ret.day, low, high)


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
