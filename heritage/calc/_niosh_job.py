"""A whole job of lifting: how long it counts as, and its tasks together."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, prod
from typing import Final, NamedTuple

from . import _niosh_tables as tables
from ._checks import not_negative, positive
from ._niosh import (
    NOT_COVERED,
    DoesNotApply,
    Lift,
    LiftTask,
    Outside,
    recommended_weight,
    start_height,
)
from ._niosh_tables import CONSTANTS, Duration

# The longest work of a class [min], and the rest after it as a share of the work.
# In 2021 the short class's share was put right from 1.2 to 1.0.
_CLASSES: Final = ((Duration.SHORT, 60.0, 1.0), (Duration.MODERATE, 120.0, 0.3))
_LONGEST_MIN: Final = 480.0


class Session(NamedTuple):
    """A stretch of lifting and the light work or rest after it.

    Attributes
    ----------
    work_min, recovery_min : float
        How long each is. [min]
    """

    work_min: float
    recovery_min: float


def lifting_duration(sessions: Sequence[Session]) -> Duration | DoesNotApply:
    """Return the class of duration that a pattern of work and rest counts as.

    Parameters
    ----------
    sessions : sequence of Session, length n >= 1
        Lifting and rest in turn.

    Returns
    -------
    Duration or DoesNotApply
        The gravest class of any stretch; stretches without their full rest between
        them count as one.

    Raises
    ------
    ValueError
        If there is no session, or a time is not above (rest: not below) nought.

    References
    ----------
    .. [1] NIOSH 94-110 (rev. 9/2021), section 1.3.5.2.
    """
    if not sessions:
        raise ValueError("sessions must hold at least one session")
    found, run = [], 0.0
    for number, (work, recovery) in enumerate(sessions, start=1):
        run += positive(work, "work_min")
        rest = not_negative(recovery, "recovery_min") / run
        if run > _LONGEST_MIN:
            return DoesNotApply((NOT_COVERED.format(Outside.OVER_8_HOURS),))
        shares = (share for _, longest, share in _CLASSES if run <= longest)
        rested = rest >= next(shares, inf)
        if rested or number == len(sessions):
            found.append(_class_of(run, rest))
            run = 0.0
    return max(found, key=list(Duration).index)


def _class_of(run: float, rest: float) -> Duration:
    """Return the first class whose work and rest a stretch keeps to."""
    kept = (
        name for name, longest, share in _CLASSES if run <= longest and rest >= share
    )
    return next(kept, Duration.LONG)


@dataclass(frozen=True, slots=True)
class Composite:
    """Several lifts of one job, taken together.

    Attributes
    ----------
    index : float or None
        The composite lifting index; ``None`` where there should be no load. [-]
    hardest : LiftTask
        The task that strains most by itself.
    confirmed : bool
        Whether the figures behind it have been read in print: not while the
        tables for grip and frequency are from memory.
    """

    index: float | None
    hardest: LiftTask
    confirmed: bool = False


def composite_index(tasks: Sequence[LiftTask]) -> Composite | DoesNotApply:
    """Return the index of a job made up of several tasks.

    Where tasks differ in height or duration, the manual leaves open which column of
    Table 5 their joint frequency takes. The strictest is taken: our own rule.

    Parameters
    ----------
    tasks : sequence of LiftTask, length n >= 1
        The job's tasks, each with its own frequency.

    Returns
    -------
    Composite or DoesNotApply
        The index and the hardest task; or why the equation does not cover one.

    Raises
    ------
    ValueError
        If there is no task.

    References
    ----------
    .. [1] NIOSH 94-110 (rev. 9/2021), section 2.4.
    """
    if not tasks:
        raise ValueError("tasks must hold at least one task")
    lifts: list[tuple[LiftTask, Lift]] = []
    for task in tasks:
        lift = recommended_weight(task)
        if isinstance(lift, DoesNotApply):
            return lift
        lifts.append((task, lift))
    lifts.sort(key=_strain, reverse=True)
    return Composite(_composite(lifts), lifts[0][0])


def _strain(entry: tuple[LiftTask, Lift]) -> tuple[float, float]:
    """Return what tasks are ordered by: their own index, then their frequency."""
    task, lift = entry
    index = inf if lift.index is None else lift.index
    return index, task.lifts_per_minute


def _composite(lifts: Sequence[tuple[LiftTask, Lift]]) -> float | None:
    """Add what each further task brings to the hardest one's index."""
    index = lifts[0][1].index
    if index is None:
        return None
    before = lifts[0][1].multipliers["FM"]
    for count in range(2, len(lifts) + 1):
        after = _joint_frequency([task for task, _ in lifts[:count]])
        if after == 0:
            return None
        index += _without_frequency(*lifts[count - 1]) * (1 / after - 1 / before)
        before = after
    return index


def _without_frequency(task: LiftTask, lift: Lift) -> float:
    """Return a task's index as if it were done but now and then."""
    factors = (m for name, m in lift.multipliers.items() if name != "FM")
    return task.load / (CONSTANTS[task.units].load * prod(factors))


def _joint_frequency(tasks: Sequence[LiftTask]) -> float:
    """Return the strictest FM for all the tasks' lifts together."""
    often = sum(max(t.lifts_per_minute, tables.LEAST_PER_MINUTE) for t in tasks)
    return min(
        tables.frequency(
            often, t.duration, low=start_height(t) < CONSTANTS[t.units].knuckle
        )
        for t in tasks
    )
