"""What the treading asks of an organiser today: gaps, and what was not written."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.utils.translation import gettext as _

from heritage.dam.models import RotaPlan, Treader, Treading
from heritage.season.models import Demonstration

GAPS_AHEAD = timedelta(days=4)
# How long the organisers are reminded that somebody trod alone.
ALONE_SHOWN = timedelta(days=3)


@dataclass(frozen=True, slots=True)
class Gap:
    """A turn to come that has too few people."""

    turn: Treading
    on: int

    @property
    def words(self) -> str:
        """Say it in one line."""
        missing = self.turn.plan.people - self.on
        name = {
            "day": f"{self.turn.day:%A}",
            "half": self.turn.get_half_display(),
            "missing": missing,
            "on": self.on,
        }
        if self.on == 0:
            return _("%(day)s %(half)s's treading has nobody: find %(missing)d") % name
        if self.on == 1 and missing == 1:
            words = _("%(day)s %(half)s's treading has one person: find another")
            return words % name
        words = _("%(day)s %(half)s's treading has only %(on)d: find %(missing)d more")
        return words % name


@dataclass(frozen=True, slots=True)
class TreadingMatters:
    """What the treading asks of an organiser today."""

    gaps: tuple[Gap, ...]
    untaken: tuple[RotaPlan, ...]
    unwritten: tuple[Treading, ...]
    alone: tuple[Treading, ...]


def treading_matters(demonstration: Demonstration, now: datetime) -> TreadingMatters:
    """Return the gaps of the next days, and the rotas to be worked out: 3 queries."""
    plans = RotaPlan.objects.of(demonstration).going().for_page()
    turns = Treading.objects.of(demonstration).live().under_water()
    near = list(turns.not_later(now + GAPS_AHEAD).for_page().in_order())
    on: dict[int, int] = {turn.pk: 0 for turn in near}
    for row in Treader.objects.in_turns(near).on().of_active():
        on[row.turn_id] += 1
    ahead = [turn for turn in near if turn.at > now]
    gaps = [
        Gap(turn, on[turn.pk])
        for turn in ahead
        if turn.plan.taken_at and on[turn.pk] < turn.plan.people
    ]
    late = [
        turn
        for turn in near
        if now - timedelta(days=1) < turn.at < now - timedelta(hours=2)
        and turn.trodden_at is None
    ]
    alone = [turn for turn in near if turn.why_alone and turn.at > now - ALONE_SHOWN]
    untaken = [plan for plan in plans if plan.taken_at is None]
    return TreadingMatters(tuple(gaps), tuple(untaken), tuple(late), tuple(alone))
