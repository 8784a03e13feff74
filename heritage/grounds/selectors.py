"""How many the ground may hold: the sum line by line, each figure with its source."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from heritage.briefings.emergency.selectors import EmergencyPage, emergency_page
from heritage.briefings.selectors import heard_pairs
from heritage.calc.risk import (
    LEVEL_RATE,
    OPEN_AIR_RATE,
    STEPPED_RATE,
    SiteWarning,
    exit_capacity,
    site_capacity,
)
from heritage.common.questions import Question
from heritage.common.words import in_words
from heritage.grounds.models import CrowdPlan, Duty, Exit, Ground, StewardPost
from heritage.season.models import Demonstration

# The dams stand above the ground, and answer.
dam_names = Question[[Demonstration], Iterable[str]]("the names of the dams, in order")

RATES: dict[str, float] = {
    Ground.OPEN_AIR: OPEN_AIR_RATE,
    Ground.LEVEL: LEVEL_RATE,
    Ground.STEPPED: STEPPED_RATE,
}
GREEN_GUIDE = gettext_lazy("the Green Guide, as councils quote it")
SOURCES: dict[str, str | Promise] = {
    Ground.OPEN_AIR: gettext_lazy("the fire guide for open-air events"),
    Ground.LEVEL: GREEN_GUIDE,
    Ground.STEPPED: GREEN_GUIDE,
}
BY_AREA = gettext_lazy("HSG195 (withdrawn), as councils quote it")
WARNINGS: dict[SiteWarning, str | Promise] = {
    SiteWarning.FEW_EXITS: gettext_lazy(
        "There should be two exits or more, well apart."
    ),
    SiteWarning.NARROW_EXIT: gettext_lazy(
        "An exit is narrower than %(narrowest_m)g m."
    ),
}


@dataclass(frozen=True, slots=True)
class ExitLine:
    """A way out, how many pass it in the time, and whether it is left out."""

    way: Exit
    rate: int
    people: int
    source: str
    is_left_out: bool


@dataclass(frozen=True, slots=True)
class Holding:
    """How many the ground may hold; ``people`` is the lower of the two sums."""

    people: int
    by_area: int
    by_exits: int
    free_m2: str
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SitePage:
    """The ground for visitors with its ways out; no sum before there is an area."""

    plan: CrowdPlan | None
    exits: tuple[ExitLine, ...]
    holding: Holding | None
    area_source: str


def site_page(demonstration: Demonstration) -> SitePage:
    """Return the site's capacity with its working: two queries."""
    plan = CrowdPlan.objects.of(demonstration).first()
    ways = tuple(Exit.objects.of(demonstration).in_order())
    minutes = plan.minutes if plan else CrowdPlan().minutes
    lines = _exits(ways, minutes)
    holding = _holding(plan, lines) if plan else None
    return SitePage(plan, lines, holding, str(BY_AREA))


def _exits(ways: tuple[Exit, ...], minutes: int) -> tuple[ExitLine, ...]:
    """Count each way out by itself; the one that passes most is left out."""
    people = [
        exit_capacity(float(way.width_m), rate=RATES[way.ground], minutes=minutes)
        for way in ways
    ]
    largest = people.index(max(people)) if people else None
    return tuple(
        ExitLine(
            way,
            round(RATES[way.ground]),
            count,
            str(SOURCES[way.ground]),
            number == largest,
        )
        for number, (way, count) in enumerate(zip(ways, people, strict=True))
    )


def _holding(plan: CrowdPlan, lines: tuple[ExitLine, ...]) -> Holding:
    capacity = site_capacity(
        float(plan.area_m2),
        [float(line.way.width_m) for line in lines],
        taken_m2=float(plan.taken_m2),
        minutes=plan.minutes,
    )
    by_exits = sum(line.people for line in lines if not line.is_left_out)
    warnings = [in_words(warning, WARNINGS) for warning in capacity.warnings]
    if not by_exits:
        warnings.append(
            _("With the largest way out shut nobody gets out: no number can be given.")
        )
    return Holding(
        people=min(capacity.by_area, by_exits),
        by_area=capacity.by_area,
        by_exits=by_exits,
        free_m2=f"{plan.area_m2 - plan.taken_m2:.1f}",
        warnings=tuple(warnings),
    )


@dataclass(frozen=True, slots=True)
class PostLine:
    """A post, who keeps it, and whether they have heard its briefing."""

    post: StewardPost
    is_briefed: bool
    is_twice: bool

    @property
    def is_gap(self) -> bool:
        """Whether nobody stands there."""
        return self.post.volunteer_id is None

    @property
    def is_to_hear(self) -> bool:
        """Whether the person who stands there has yet to hear the post's briefing."""
        return (
            not (self.is_gap or self.is_briefed) and self.post.briefing_id is not None
        )


@dataclass(frozen=True, slots=True)
class StewardPage:
    """The posts, counted; ``gaps`` have nobody, ``reliefs`` relieve the others."""

    demonstration: Demonstration
    lines: tuple[PostLine, ...]

    @property
    def posts(self) -> int:
        """How many posts stand, the reliefs left out."""
        return len(self.lines) - self.reliefs

    @property
    def reliefs(self) -> int:
        """How many relieve the others."""
        return sum(line.post.duty == Duty.RELIEF for line in self.lines)

    @property
    def gaps(self) -> int:
        """How many posts nobody keeps."""
        return sum(line.is_gap for line in self.lines)

    @property
    def people(self) -> int:
        """How many people keep them."""
        kept = {line.post.volunteer_id for line in self.lines if not line.is_gap}
        return len(kept)


@dataclass(frozen=True, slots=True)
class StewardSheet:
    """The posts with what every steward must know beside them."""

    page: StewardPage
    emergency: EmergencyPage
    day: date


def steward_page(demonstration: Demonstration) -> StewardPage:
    """Return the posts with who keeps them: two queries."""
    posts = list(StewardPost.objects.of(demonstration).in_order())
    people = {post.volunteer for post in posts if post.volunteer}
    told = {post.briefing for post in posts if post.briefing}
    heard = heard_pairs(people, told)
    times = Counter(post.volunteer_id for post in posts)
    return StewardPage(
        demonstration,
        tuple(
            PostLine(
                post,
                (post.volunteer_id, post.briefing_id) in heard,
                post.volunteer is not None and times[post.volunteer_id] > 1,
            )
            for post in posts
        ),
    )


def steward_sheet(demonstration: Demonstration, day: date) -> StewardSheet:
    """Return what the stewards' sheet prints: four queries."""
    return StewardSheet(steward_page(demonstration), emergency_page(demonstration), day)
