"""What the treading asks of an organiser today: gaps, and what was not written."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.utils.translation import gettext as _

from heritage.dam.models import RotaPlan, Treader, Treading
from heritage.dam.selectors.lacks import Lack, lack_of
from heritage.season.models import Demonstration

GAPS_AHEAD = timedelta(days=4)
# How long the organisers are reminded that somebody trod alone.
ALONE_SHOWN = timedelta(days=3)


@dataclass(frozen=True, slots=True)
class Gap:
    """A turn to come that has too few treading, or nobody to watch."""

    turn: Treading
    lack: Lack

    @property
    def words(self) -> str:
        """Say it in one line."""
        name = {
            "day": f"{self.turn.day:%A}",
            "half": self.turn.get_half_display(),
            "lack": self.lack.words,
        }
        if self.lack.has_nobody:
            return _("%(day)s %(half)s's treading has nobody: %(lack)s") % name
        return _("%(day)s %(half)s's treading: %(lack)s") % name


@dataclass(frozen=True, slots=True)
class TreadingMatters:
    """What the treading asks of an organiser today."""

    gaps: tuple[Gap, ...]
    untaken: tuple[RotaPlan, ...]
    unwritten: tuple[Treading, ...]
    alone: tuple[Treading, ...]
    unwatched: tuple[Treading, ...]
    unbriefed: tuple[RotaPlan, ...]


def treading_matters(demonstration: Demonstration, now: datetime) -> TreadingMatters:
    """Return the gaps of the next days, and the rotas to be worked out: 3 queries."""
    plans = list(RotaPlan.objects.of(demonstration).going().for_page())
    turns = Treading.objects.of(demonstration).live().under_water()
    near = list(turns.not_later(now + GAPS_AHEAD).for_page().in_order())
    rows: dict[int, list[Treader]] = {turn.pk: [] for turn in near}
    for row in Treader.objects.in_turns(near).select_related("volunteer"):
        rows[row.turn_id].append(row)
    gaps = [
        Gap(turn, lack)
        for turn in near
        if turn.at > now
        and turn.plan.taken_at
        and (lack := lack_of(turn.plan, _standing(rows[turn.pk])))
    ]
    late = [
        turn
        for turn in near
        if now - timedelta(days=1) < turn.at < now - timedelta(hours=2)
        and turn.trodden_at is None
    ]
    lately = [turn for turn in near if turn.why_alone and turn.at > now - ALONE_SHOWN]
    alone = [
        turn for turn in lately if sum(bool(row.trod) for row in rows[turn.pk]) == 1
    ]
    return TreadingMatters(
        gaps=tuple(gaps),
        untaken=tuple(plan for plan in plans if plan.taken_at is None),
        unwritten=tuple(late),
        alone=tuple(alone),
        unwatched=tuple(turn for turn in lately if turn not in alone),
        unbriefed=tuple(plan for plan in plans if plan.briefing_id is None),
    )


def _standing(rows: list[Treader]) -> list[Treader]:
    return [row for row in rows if row.is_on and row.volunteer.left_at is None]
