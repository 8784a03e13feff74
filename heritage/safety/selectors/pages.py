"""One page or sheet of the safety room, one frozen answer."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from heritage.people.models import Volunteer
from heritage.safety.models import Acknowledgement, Briefing, BriefingVersion
from heritage.safety.selectors.ease import Ease, ease_of
from heritage.safety.selectors.hearing import heard_pairs
from heritage.safety.selectors.parts import open_parts, parts_of
from heritage.safety.selectors.words import changed_briefings
from heritage.season.models import Demonstration


@dataclass(frozen=True, slots=True)
class BriefingLine:
    """One briefing in the list: its version, and whether the reader heard it.

    ``is_changed`` tells an organiser that it would say something else today.
    """

    briefing: Briefing
    version: int | None
    is_heard: bool
    is_changed: bool = False


@dataclass(frozen=True, slots=True)
class Hearer:
    """Somebody a reader may acknowledge for, and whether that is done."""

    volunteer: Volunteer
    is_self: bool
    is_heard: bool


@dataclass(frozen=True, slots=True)
class BriefingPage:
    """A briefing's current words, and the people the reader answers for.

    ``version`` is None before the first is published; then there are no words.
    """

    briefing: Briefing
    version: BriefingVersion | None
    hearers: tuple[Hearer, ...]

    @property
    def words(self) -> dict[str, Any]:
        """What the version says."""
        return dict(self.version.content) if self.version else {}

    @property
    def parts(self) -> list[tuple[str, str]]:
        """The version's fixed parts with their labels."""
        return parts_of(self.words)

    @property
    def open_parts(self) -> list[str]:
        """The parts that it leaves open, to be asked for."""
        return open_parts(self.words)

    @property
    def ease(self) -> Ease | None:
        """How hard the version is to read."""
        return ease_of(self.words)


@dataclass(frozen=True, slots=True)
class TickList:
    """Who has heard a briefing's current version, who has not, who must again."""

    briefing: Briefing
    version: BriefingVersion | None
    heard: tuple[Acknowledgement, ...]
    waiting: tuple[Volunteer, ...]
    again: frozenset[int]

    @property
    def version_number(self) -> int:
        """The version that holds, or 0 before the first."""
        return self.version.number if self.version else 0

    @property
    def to_hear_again(self) -> tuple[Volunteer, ...]:
        """Those whose acknowledgement is void because the briefing changed."""
        return tuple(person for person in self.waiting if person.pk in self.again)


@dataclass(frozen=True, slots=True)
class BriefingSheet:
    """A published briefing as it goes on paper."""

    demonstration: Demonstration
    words: dict[str, Any]
    number: int
    published_at: datetime


def briefing_lines(
    demonstration: Demonstration, volunteer: Volunteer | None, *, with_drafts: bool
) -> tuple[BriefingLine, ...]:
    """List a demonstration's briefings, unpublished ones for an organiser only."""
    briefings = list(Briefing.objects.of(demonstration).by_title())
    numbers = dict(
        BriefingVersion.objects.of(demonstration)
        .current()
        .values_list("briefing_id", "number")
    )
    me = [volunteer] if volunteer else []
    heard = {briefing for _, briefing in heard_pairs(me, briefings)}
    changed = changed_briefings(demonstration) if with_drafts else frozenset()
    return tuple(
        BriefingLine(one, numbers.get(one.pk), one.pk in heard, one.pk in changed)
        for one in briefings
        if with_drafts or one.pk in numbers
    )


def current_version(briefing: Briefing) -> BriefingVersion | None:
    """Return the version that holds, or None before the first is published."""
    return briefing.versions.order_by("-number").first()


def briefing_page(briefing: Briefing, volunteer: Volunteer | None) -> BriefingPage:
    """Show a briefing's current version to somebody who is to hear it."""
    people: Sequence[Volunteer] = ()
    if volunteer:
        mine = Volunteer.objects.active().answered_for_by(volunteer).by_name()
        people = sorted(mine, key=lambda person: person.pk != volunteer.pk)
    heard = heard_pairs(people, [briefing])
    hearers = tuple(
        Hearer(person, person == volunteer, (person.pk, briefing.pk) in heard)
        for person in people
    )
    return BriefingPage(briefing, current_version(briefing), hearers)


def tick_list(briefing: Briefing) -> TickList:
    """Show who has heard a briefing and who is left."""
    version = current_version(briefing)
    rows = Volunteer.objects.of(briefing.demonstration).active().by_name()
    everybody = rows.select_related("user", "guardian__user")
    told = Acknowledgement.objects.filter(version__briefing=briefing)
    heard = tuple(
        told.holding()
        .select_related("volunteer", "recorded_by")
        .order_by("volunteer__name", "pk")
    )
    done = {tick.volunteer_id for tick in heard}
    waiting = tuple(person for person in everybody if person.pk not in done)
    again = frozenset(told.void().values_list("volunteer_id", flat=True))
    return TickList(briefing, version, heard, waiting, again)


def briefing_sheet(version: BriefingVersion) -> BriefingSheet:
    """Gather a published version for the printer."""
    demonstration = version.briefing.demonstration
    return BriefingSheet(
        demonstration, version.content, version.number, version.published_at
    )
