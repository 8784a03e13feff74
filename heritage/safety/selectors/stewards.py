"""Who stands where; the posts are counted, and no ratio is promised."""

from collections import Counter
from dataclasses import dataclass
from datetime import date

from heritage.safety.models import Duty, StewardPost
from heritage.safety.selectors.emergency import EmergencyPage, emergency_page
from heritage.safety.selectors.hearing import heard_pairs
from heritage.season.models import Demonstration


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
        """Whether whoever stands there still has to hear the post's briefing."""
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
