"""The season as its website tells it, from what visitors may see alone."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count

from heritage.archive.selectors import rets
from heritage.dam.models import Ret
from heritage.fibre.grass.selectors import SpreadingState, spreading_states
from heritage.fibre.models import DryTest
from heritage.fibre.selectors import AccountPage, account_page
from heritage.fibre.stock.selectors import take_stock
from heritage.fibre.store.selectors import Dry, dry
from heritage.fibre.work.selectors import SessionLine, session_lines
from heritage.lots.models import Move
from heritage.lots.selectors import CropPage, crop_page
from heritage.lots.words import in_words
from heritage.pictures.models import Picture, PictureQuerySet
from heritage.pictures.words import file_name, rights
from heritage.public.process.words import ProcessText, text_of, told_here
from heritage.public.story.selectors import season_here
from heritage.season.models import Demonstration, Stage
from heritage.season.selectors import Season, StageLine
from heritage.tally.selectors import (
    EveningLine,
    FieldProgress,
    evenings,
    field_progress,
)

ON_A_PAGE = 60


@dataclass(frozen=True, slots=True)
class Shown:
    """A picture with the name of its file and whose it is."""

    picture: Picture

    @property
    def name(self) -> str:
        return file_name(self.picture)

    @property
    def rights(self) -> str:
        return rights(self.picture)


@dataclass(frozen=True, slots=True)
class StageStory:
    """One stage: what is done, when it was done, and how many pictures show it."""

    line: StageLine
    text: ProcessText
    pictures: int

    @property
    def stage(self) -> Stage:
        return self.line.stage

    @property
    def page(self) -> str:
        """The name of its first page."""
        return page_name(self.stage, 1)

    @property
    def sheet(self) -> str:
        return f"sheets/{self.stage.value.replace('_', '-')}.pdf"

    @property
    def pages(self) -> int:
        return max(1, -(-self.pictures // ON_A_PAGE))


@dataclass(frozen=True, slots=True)
class Crop:
    """Where the flax went: each lot and each move, grass, dryness, work, and fibre."""

    page: CropPage
    moves: list[tuple[Move, str]]
    grass: list[SpreadingState]
    dried: list[Dry]
    worked: list[SessionLine]
    account: AccountPage


@dataclass(frozen=True, slots=True)
class Story:
    """A season as it is told to everybody."""

    demonstration: Demonstration
    made_at: datetime
    progress: FieldProgress
    evenings: list[EveningLine]
    season: Season
    rets: list[Ret]
    crop: Crop
    cover: Shown | None
    stages: list[StageStory]

    @property
    def pictures(self) -> int:
        return sum(stage.pictures for stage in self.stages)


@dataclass(frozen=True, slots=True)
class StagePage:
    """One page of a stage's pictures."""

    story: StageStory
    number: int
    pictures: list[Shown]

    @property
    def name(self) -> str:
        return page_name(self.story.stage, self.number)

    @property
    def others(self) -> list[tuple[int, str]]:
        """The stage's pages, where there are several."""
        count = self.story.pages
        numbers = range(1, count + 1) if count > 1 else ()
        return [(number, page_name(self.story.stage, number)) for number in numbers]


def page_name(stage: Stage, number: int) -> str:
    name = stage.value.replace("_", "-")
    return f"{name}.html" if number == 1 else f"{name}-{number}.html"


def shown_pictures(demonstration: Demonstration) -> PictureQuerySet:
    """Keep the pictures that visitors may see."""
    rows = Picture.objects.of(demonstration).published().select_related("demonstration")
    return rows.in_place()


def story(demonstration: Demonstration, made_at: datetime) -> Story:
    """Gather the season: a fixed number of queries, whatever it holds."""
    counted = shown_pictures(demonstration).order_by().values("stage")
    counts = dict(counted.annotate(n=Count("pk")).values_list("stage", "n"))
    whole = season_here(demonstration)
    newest = shown_pictures(demonstration).newest_first().first()
    return Story(
        demonstration=demonstration,
        made_at=made_at,
        progress=field_progress(demonstration),
        evenings=evenings(demonstration),
        season=whole,
        rets=list(rets(demonstration)),
        crop=crop(demonstration, made_at),
        cover=Shown(newest) if newest else None,
        stages=[
            StageStory(
                line=line,
                text=told_here(text_of(line.stage.value), demonstration),
                pictures=counts.get(line.stage.value, 0),
            )
            for line in whole.stages
        ],
    )


def crop(demonstration: Demonstration, now: datetime) -> Crop:
    """Gather the crop's book, the first day first: a fixed number of queries."""
    moves = Move.objects.of(demonstration).standing().for_page()
    tests = DryTest.objects.of(demonstration).with_their_lots().newest_first()
    return Crop(
        page=crop_page(demonstration),
        moves=[(one, in_words(one.beets or 0, one.dry_g or 0)) for one in moves],
        grass=list(spreading_states(take_stock(demonstration), now))[::-1],
        dried=[dry(test) for test in tests.reverse()],
        worked=session_lines(demonstration)[::-1],
        account=account_page(demonstration),
    )


def stage_pages(told: Story) -> Iterator[StagePage]:
    """Go through the pages of every stage: a query for each."""
    for stage in told.stages:
        rows = shown_pictures(told.demonstration).at_stage(stage.stage)
        for number in range(1, stage.pages + 1):
            start = (number - 1) * ON_A_PAGE
            yield StagePage(
                stage, number, [Shown(row) for row in rows[start : start + ON_A_PAGE]]
            )
