"""What a ret's test book taught: one estimate, what moved it, what the tests allow."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.utils.translation import gettext as _

from heritage.calc import retting
from heritage.calc.reasons import Reason
from heritage.common.words import in_words
from heritage.dam.models import Check, Finding
from heritage.dam.words import LIFT_REASONS

# What each line of the book is to the sums. A line says nothing of stems or place: it
# counts as one stem at mid-stalk, which is our own judgement.
SIGNS = {
    Finding.FAST: (retting.SignKind.CORE, "fast"),
    Finding.LOOSENING: (retting.SignKind.CORE, "partly"),
    Finding.FREE: (retting.SignKind.CORE, "free"),
    Finding.BUBBLES: (retting.SignKind.BUBBLES, "rising"),
    Finding.STILL: (retting.SignKind.BUBBLES, "ceased"),
    Finding.RISEN: (retting.SignKind.BUNDLE, "floats"),
    Finding.SUNK: (retting.SignKind.BUNDLE, "sinks"),
}
# A line that moves the likely day by less is said to leave it where it was.
LEAST_DAYS = 0.05

ProgressAt = Callable[[datetime], float]


@dataclass(frozen=True, slots=True)
class Step:
    """One or more lines of the book, and the days by which they moved the estimate."""

    at: datetime
    found: str
    days: float

    @property
    def words(self) -> str:
        """By how much, and which way, the likely day moved."""
        if abs(self.days) < LEAST_DAYS:
            return _("the likely day stays")
        if self.days > 0:
            return _("likely %.1f days later") % self.days
        return _("likely %.1f days sooner") % -self.days


@dataclass(frozen=True, slots=True)
class Learned:
    """What the book taught of one ret; ``progress`` is that of the warmth alone."""

    factor: retting.Factor
    progress: float
    temp_c: float
    chance: float
    steps: tuple[Step, ...]
    verdict: retting.Verdict

    @property
    def percent(self) -> int:
        """The chance that a test finds it ready by now, in whole percent."""
        return round(100 * self.chance)

    @property
    def likely(self) -> float:
        """How far it likely is, as a share of its own length."""
        return self.progress / self.factor.quantile(0.5)

    @property
    def days_ahead(self) -> tuple[float | None, float | None, float | None]:
        """In how many days tests may find it ready: early, likely and late."""
        told = retting.ready(self.factor, self.progress, self.temp_c)
        return told.early, told.likely, told.late

    def wait_after(self, progress: float) -> timedelta:
        """Return how long the next test may wait after one at such a progress."""
        return timedelta(hours=retting.next_test(self.factor, progress, self.temp_c))

    @property
    def percents(self) -> tuple[int, int]:
        """The least and the most it may be along, for four batches in five."""
        band = self.factor.band
        least, most = self.progress / band.high, self.progress / band.low
        return min(100, round(100 * least)), min(100, round(100 * most))

    @property
    def reasons(self) -> list[str]:
        """What speaks for lifting and against it, in words."""
        return [
            in_words(_in_percent(one), LIFT_REASONS) for one in self.verdict.reasons
        ]


def factor_of(
    checks: Sequence[Check], progress_at: ProgressAt, sigma: float
) -> retting.Factor | None:
    """Return what the book taught of a ret, or nothing if no line of it tells."""
    signs = [_sign(check, progress) for check, progress in _told(checks, progress_at)]
    factor = retting.learn(retting.Factor(0.0, sigma), signs)
    return factor if factor.moved() else None


def learned(
    factor: retting.Factor,
    checks: Sequence[Check],
    progress_at: ProgressAt,
    *,
    log: Sequence[retting.Reading],
    until: datetime,
) -> Learned:
    """Say what the book taught by a moment, in water as warm as of late."""
    progress, temp_c = progress_at(until), retting.recent_mean(log)
    found: dict[tuple[str, float, str], list[Check]] = {}
    for check, reached in _told(checks, progress_at):
        found.setdefault(_look(_sign(check, reached)), []).append(check)
    per_day = retting.rate(temp_c)
    steps = []
    for one in factor.moved():
        lines = found[_look(one.look[0])]
        words = ", ".join(str(line.get_finding_display()) for line in lines)
        days = (one.after.likely - one.before.likely) / per_day
        steps.append(Step(lines[0].at, words, days))
    return Learned(
        factor=factor,
        progress=progress,
        temp_c=temp_c,
        chance=factor.below(progress),
        steps=tuple(steps),
        verdict=retting.may_lift(factor, progress, factor.signs),
    )


def _told(
    checks: Sequence[Check], progress_at: ProgressAt
) -> list[tuple[Check, float]]:
    """Pair each line with the progress of its time, but for those before the water."""
    pairs = [(check, progress_at(check.at)) for check in checks]
    return [(check, progress) for check, progress in pairs if progress > 0]


def _sign(check: Check, progress: float) -> retting.Sign:
    kind, category = SIGNS[Finding(check.finding)]
    return retting.Sign(kind, category, progress, tester=str(check.entered_by_id))


def _look(sign: retting.Sign) -> tuple[str, float, str]:
    return str(sign.kind), sign.progress, sign.tester


def _in_percent(
    reason: Reason[retting.LiftReason],
) -> Reason[retting.LiftReason]:
    """Return a reason with its chances in percent."""
    chances = {"not_ready", "past"}
    figures = {
        name: 100 * figure if name in chances else figure
        for name, figure in reason.figures.items()
    }
    return Reason(reason.code, figures)
