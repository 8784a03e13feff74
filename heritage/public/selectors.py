"""What visitors see: the season so far, what comes next, and the sheets."""

import json
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from importlib.resources import files

from django.urls import reverse
from django.utils.translation import gettext as _

from heritage.common.access import Role
from heritage.common.models import Viewer, demonstrations_of
from heritage.dam.models import Ret
from heritage.dam.selectors import DamState, dam_states
from heritage.gatherings.models import Gathering
from heritage.gatherings.selectors import (
    GatheringLine,
    gathering_lines,
    next_gatherings,
)
from heritage.people.models import Volunteer
from heritage.pictures.models import Picture
from heritage.pictures.selectors import newest_published
from heritage.safety.models import BriefingVersion
from heritage.season.models import Demonstration, Stage
from heritage.season.selectors import Season, season
from heritage.tally.selectors import FieldProgress, field_progress

NEXT_SHOWN = 4
PICTURES_SHOWN = 3


@dataclass(frozen=True, slots=True)
class HomePage:
    """The site's first page: one's own demonstrations, and the open ones."""

    mine: list[Demonstration]
    open: list[Demonstration]


@dataclass(frozen=True, slots=True)
class DemonstrationPage:
    """A demonstration as a visitor sees it."""

    demonstration: Demonstration
    pictures: tuple[Picture, ...]
    progress: FieldProgress
    season: Season
    dams: tuple[DamState, ...]
    next_up: list[GatheringLine]


@dataclass(frozen=True, slots=True)
class SheetLink:
    """A printable sheet, in A4 and, by a query, in large print."""

    title: str
    about: str
    url: str

    @property
    def large(self) -> str:
        return f"{self.url}?large=1"


@dataclass(frozen=True, slots=True)
class Shelf:
    """One kind of sheets, with those that the reader may print."""

    title: str
    sheets: list[SheetLink]


@dataclass(frozen=True, slots=True)
class ProcessText:
    """The words of a stage's process sheet, before anything local is put in."""

    what: str
    why: str
    how: tuple[str, ...]
    words: tuple[tuple[str, str], ...]
    cautions: tuple[tuple[str, str], ...]
    sources: tuple[str, ...]
    drawing: str


@dataclass(frozen=True, slots=True)
class ProcessPage:
    """All that a stage's process sheet prints."""

    demonstration: Demonstration
    stage: Stage
    text: ProcessText
    picture: Picture | None


def home(user: Viewer) -> HomePage:
    """Return the demonstrations for the first page: two queries."""
    seen = Demonstration.objects.visible_to(user).newest_first()
    own = Demonstration.objects.filter(pk__in=demonstrations_of(user))
    keys = set(own.values_list("pk", flat=True))
    return HomePage(
        mine=[row for row in seen if row.pk in keys],
        open=[row for row in seen if row.pk not in keys],
    )


def demonstration_page(
    demonstration: Demonstration, user: Viewer, now: datetime
) -> DemonstrationPage:
    """Return the page of a demonstration: a fixed number of queries."""
    return DemonstrationPage(
        demonstration=demonstration,
        pictures=newest_published(demonstration, PICTURES_SHOWN),
        progress=field_progress(demonstration),
        season=season(demonstration),
        dams=dam_states(demonstration, now),
        next_up=next_gatherings(demonstration, now, user, NEXT_SHOWN),
    )


@cache
def process_texts() -> dict[str, ProcessText]:
    """Return the words of every stage's sheet, by stage."""
    text = files("heritage.public").joinpath("process_sheets.json")
    rows = json.loads(text.read_text(encoding="utf-8"))
    return {stage: _process_text(row) for stage, row in rows.items()}


def process_page(demonstration: Demonstration, stage: Stage) -> ProcessPage:
    """Return a stage's process sheet: one query."""
    shown = Picture.objects.of(demonstration).published().at_stage(stage)
    return ProcessPage(
        demonstration=demonstration,
        stage=stage,
        text=process_texts()[stage.value],
        picture=shown.newest_first().first(),
    )


def gathering_line(gathering: Gathering) -> GatheringLine:
    """Return one gathering as its poster tells of it."""
    return gathering_lines([gathering])[0]


def shelves(
    demonstration: Demonstration,
    user: Viewer,
    role: Role,
    volunteer: Volunteer | None,
    now: datetime,
) -> list[Shelf]:
    """Return the sheets that the reader may print, kind by kind."""
    slug = demonstration.slug
    found = [_process_shelf(slug), _poster_shelf(demonstration, user, now)]
    if role >= Role.VOLUNTEER:
        found += [_briefing_shelf(demonstration), _dam_shelf(demonstration)]
        found += [_sign_in_shelf(demonstration, user, now)]
    if volunteer:
        statement = reverse("tally:statement_sheet", args=[slug, volunteer.pk])
        found.append(Shelf(_("Tally"), [SheetLink(_("My statement"), "", statement)]))
    return [shelf for shelf in found if shelf.sheets]


def _process_shelf(slug: str) -> Shelf:
    sheets = [
        SheetLink(
            stage.label.capitalize(),
            process_texts()[stage.value].what,
            reverse("public:process_sheet", args=[slug, stage.value]),
        )
        for stage in Stage
    ]
    return Shelf(_("From seed to fibre: process sheets"), sheets)


def _poster_shelf(demonstration: Demonstration, user: Viewer, now: datetime) -> Shelf:
    rows = Gathering.objects.visible_to(user).of(demonstration).going_ahead()
    sheets = [
        SheetLink(
            row.title,
            _day(row, demonstration),
            reverse("public:poster", args=[demonstration.slug, row.pk]),
        )
        for row in rows.upcoming(now)[:NEXT_SHOWN]
    ]
    return Shelf(_("Posters of the next gatherings"), sheets)


def _briefing_shelf(demonstration: Demonstration) -> Shelf:
    versions = BriefingVersion.objects.of(demonstration).current()
    sheets = [
        SheetLink(
            version.briefing.title,
            _("version %d") % version.number,
            reverse(
                "safety:briefing_sheet", args=[demonstration.slug, version.briefing_id]
            ),
        )
        for version in versions.select_related("briefing")
    ]
    return Shelf(_("Safety briefings"), sheets)


def _dam_shelf(demonstration: Demonstration) -> Shelf:
    rets = Ret.objects.of(demonstration).going().newest_first()
    sheets = [
        SheetLink(
            ret.dam.name,
            "",
            reverse("dam:log_sheet", args=[demonstration.slug, ret.pk]),
        )
        for ret in rets.select_related("dam")
    ]
    return Shelf(_("Dam logs"), sheets)


def _sign_in_shelf(demonstration: Demonstration, user: Viewer, now: datetime) -> Shelf:
    rows = Gathering.objects.led_by(user).of(demonstration).going_ahead()
    sheets = [
        SheetLink(
            row.title,
            _day(row, demonstration),
            reverse("gatherings:sign_in_sheet", args=[demonstration.slug, row.pk]),
        )
        for row in rows.upcoming(now)[:NEXT_SHOWN]
    ]
    return Shelf(_("Sign-in and tally sheets"), sheets)


def _day(gathering: Gathering, demonstration: Demonstration) -> str:
    day = gathering.starts_at.astimezone(demonstration.zone)
    return f"{day:%A} {day.day} {day:%B}"


def _process_text(row: dict[str, object]) -> ProcessText:
    return ProcessText(
        what=str(row["what"]),
        why=str(row["why"]),
        how=_strings(row["how"]),
        words=_pairs(row["words"]),
        cautions=_pairs(row["cautions"]),
        sources=_strings(row["sources"]),
        drawing=str(row["drawing"]),
    )


def _strings(found: object) -> tuple[str, ...]:
    return tuple(map(str, found)) if isinstance(found, list) else ()


def _pairs(found: object) -> tuple[tuple[str, str], ...]:
    pairs = found if isinstance(found, list) else []
    return tuple((str(first), str(second)) for first, second in pairs)
