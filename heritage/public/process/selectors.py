"""A process sheet as it is printed at a place: its words, its picture, its season."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from heritage.pictures.models import Picture
from heritage.pictures.printed.selectors import told_of
from heritage.public.process.words import ProcessText, names, text_of, told_here
from heritage.public.story.selectors import season_here, waters
from heritage.season.models import AT_THE_DAM, Demonstration, Stage
from heritage.tally.selectors import field_progress


@dataclass(frozen=True, slots=True)
class ProcessPage:
    """All that a process sheet prints, in the measures of the place.

    ``here`` says how it stood with the work at this place when it was printed.
    """

    demonstration: Demonstration
    text: ProcessText
    picture: Picture | None
    here: tuple[str, ...]

    @property
    def stage(self) -> Stage:
        return self.text.stage

    @property
    def number(self) -> int:
        """The stage's place in the order from seed to fibre, from 1."""
        return list(Stage).index(self.stage) + 1


@dataclass(frozen=True, slots=True)
class Season:
    """What is known of a place's season by stage, for as many sheets as are asked."""

    demonstration: Demonstration
    now: datetime
    pictures: dict[str, Picture]
    here: dict[Stage, tuple[str, ...]]

    def page(self, name: str) -> ProcessPage:
        """Return one sheet; no query."""
        text = told_here(text_of(name), self.demonstration)
        picture = self.pictures.get(text.stage)
        here = self.here.get(text.stage, ()) if text.is_stage else ()
        return ProcessPage(self.demonstration, text, picture, here)

    @property
    def today(self) -> date:
        return self.now.astimezone(self.demonstration.zone).date()

    @property
    def pages(self) -> list[ProcessPage]:
        """Every sheet, in the order of the work; no query."""
        return [self.page(name) for name in names()]

    @property
    def said(self) -> list[Any]:
        """All that the sheets say today, to be compared with what they said before."""
        home, shown = self.demonstration, sorted(self.pictures.items())
        told = [(page.text, page.here) for page in self.pages]
        pictures = [told_of(picture) for _, picture in shown]
        return [home.name, home.slug, self.today, told, pictures]


def process_season(
    demonstration: Demonstration, now: datetime, stages: Iterable[Stage] = Stage
) -> Season:
    """Return what the sheets of some stages tell: a fixed number of queries."""
    shown = Picture.objects.of(demonstration).published().at_stages(stages)
    pictures: dict[str, Picture] = {}
    for row in shown.in_place():
        pictures.setdefault(row.stage, row)
    here: dict[Stage, tuple[str, ...]] = {
        line.stage: (done,) if (done := line.done_words) else ()
        for line in season_here(demonstration).stages
    }
    for stage, words in _figures(demonstration, now):
        here[stage] += (words,)
    return Season(demonstration, now, pictures, here)


def process_page(demonstration: Demonstration, name: str, now: datetime) -> ProcessPage:
    """Return one sheet for a demonstration."""
    stage = text_of(name).stage
    return process_season(demonstration, now, [stage]).page(name)


def fronts(demonstration: Demonstration, now: datetime) -> Season:
    """Return what the fronts of the sheets say, without this season: no query."""
    return Season(demonstration, now, pictures={}, here={})


def _figures(
    demonstration: Demonstration, now: datetime
) -> Iterator[tuple[Stage, str]]:
    """Give this season's figures, each with the stage that it belongs to."""
    beets = field_progress(demonstration).beets
    if beets:
        tied = ngettext("%(beets)d beet tied", "%(beets)d beets tied", beets)
        yield Stage.PULLING, tied % {"beets": beets}
    for line in waters(demonstration, now):
        words = _("%(dam)s: day %(day)d under water") % {
            "dam": line.dam,
            "day": line.day,
        }
        yield from ((stage, words) for stage in Stage if stage in AT_THE_DAM)
