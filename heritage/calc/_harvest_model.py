"""What a harvest has to work with: the field, the evenings, the carts and the dam."""

from dataclasses import dataclass
from datetime import date, timedelta
from math import sqrt

from heritage.calc._checks import fraction, refuse_twice, whole
from heritage.calc._outlook import Capacity, Evening, days_between, work_left

DAY = timedelta(days=1)
# The long end of the published 0 to 4 days from field to dam: Holland left it longer,
# but lying and stooked to dry, not for a wet dam.
LONGEST_WAIT_DAYS = 4
# A year: beyond it nothing of one crop is left to be told.
MOST_DAYS = 366
# In so many equally likely parts is a window told: more change no chance by a
# hundredth.
PARTS = 5


@dataclass(frozen=True, slots=True)
class PullingEvening(Evening):
    """An evening of pulling, with what it would pull if its light did not end.

    Attributes
    ----------
    day, capacity, dry_chance
        As for ``Evening``.
    if_lit : int, tuple of (int, float) or None
        The capacity if the posted time had light to its end; ``None`` for the same.
    """

    if_lit: Capacity | None = None

    def __post_init__(self) -> None:
        """Refuse capacities and chances that cannot be."""
        Evening.__post_init__(self)
        if self.if_lit is not None:
            Evening(self.day, self.if_lit)


@dataclass(frozen=True, slots=True)
class Carting:
    """What the carts take from the field to the dam on one day.

    Attributes
    ----------
    day : date
        The day. An evening's own beets can go the same day.
    beets : int
        The most that they take, if so many stand there.
    """

    day: date
    beets: int

    def __post_init__(self) -> None:
        """Refuse less than none."""
        whole(self.beets, "carts")


@dataclass(frozen=True, slots=True)
class Room:
    """Room in the dam from one day on, beside what there was before.

    Attributes
    ----------
    day : date
        The first day on which it can be filled.
    beets : int
        How many more it takes.
    """

    day: date
    beets: int

    def __post_init__(self) -> None:
        """Refuse less than none."""
        whole(self.beets, "rooms")


@dataclass(frozen=True, slots=True)
class FitWindow:
    """One way that the crop may ripen: fit to pull from a first day to a last.

    Attributes
    ----------
    first, last : date
        The first and the last good day, both within.
    chance : float
        How likely it is to be so.
    """

    first: date
    last: date
    chance: float = 1.0

    def __post_init__(self) -> None:
        """Refuse a window that ends before it begins."""
        fraction(self.chance, "windows")
        if self.last < self.first:
            raise ValueError(
                f"windows must end on or after they begin, not {self.last} "
                f"after {self.first}"
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Harvest:
    """All that a forecast of the harvest rests on.

    Attributes
    ----------
    first_day : date
        The first day to come.
    beets_left : int
        Beets still to pull.
    waiting : int
        Beets pulled and not carted yet; reckoned as pulled on ``first_day``.
    evenings : tuple of Evening
        The evenings to come, each later than the one before.
    carts : tuple of Carting or None
        The days with a cart, each once; ``None`` if everything goes at once.
    rooms : tuple of Room or None
        Room in the dam; ``None`` if it takes everything.
    windows : tuple of FitWindow
        When the crop is fit to pull; their chances sum to 1.
    wait_days : int
        The most days from pulling to water. The published ones are 0 to 4.
    wet_to_dry, dry_to_dry, last_was_dry, last_day
        The weather, as for ``finish_forecast``.
    """

    first_day: date
    beets_left: int
    evenings: tuple[Evening, ...]
    windows: tuple[FitWindow, ...]
    wet_to_dry: float
    dry_to_dry: float
    last_was_dry: bool | None = None
    last_day: date | None = None
    waiting: int = 0
    carts: tuple[Carting, ...] | None = None
    rooms: tuple[Room, ...] | None = None
    wait_days: int = LONGEST_WAIT_DAYS

    def __post_init__(self) -> None:
        """Refuse what could not be."""
        work_left(self.beets_left + whole(self.waiting, "waiting"))
        whole(self.beets_left, "beets_left")
        whole(self.wait_days, "wait_days")
        self._check_days()
        self._check_windows()
        refuse_twice([f"{one.day}" for one in self.carts or ()], "carts")

    def _check_days(self) -> None:
        days_between(self.evenings, None)
        if self.evenings and self.evenings[0].day < self.first_day:
            raise ValueError(
                f"evenings must not lie before first_day, as {self.evenings[0].day}"
            )
        if self.last_day is not None and self.last_day >= self.first_day:
            raise ValueError(
                f"last_day must lie before first_day, not on {self.last_day}"
            )

    def _check_windows(self) -> None:
        total = sum(one.chance for one in self.windows)
        if abs(total - 1) > 1e-9:
            raise ValueError(f"windows must have chances that sum to 1, not {total}")
        if len(self.days) > MOST_DAYS:
            raise ValueError(f"windows must end within {MOST_DAYS} days")

    @property
    def days(self) -> tuple[date, ...]:
        """The days from the first until nothing more can come in time."""
        last = max(one.last for one in self.windows) + self.wait_days * DAY
        number = max(1, (last - self.first_day).days + 1)
        return tuple(self.first_day + n * DAY for n in range(number))


def fit_windows(
    first: date, best: date, last: date, parts: int = PARTS
) -> tuple[FitWindow, ...]:
    """Tell a pulling window in parts, since nobody knows its ends beforehand.

    The crop is fit from some day between the first and the best, the first itself the
    likeliest; it is past its best from some day between the best and the last, the
    last itself the likeliest (triangular both), and a crop that is late to begin is
    late to end. That is our own judgement.

    Parameters
    ----------
    first, best, last : date
        As ``crop.pull_window`` gives them, in that order.
    parts : int
        How many equally likely windows to tell it in, at least 1.

    Returns
    -------
    tuple of FitWindow
        The windows, with chances that sum to 1.

    Raises
    ------
    ValueError
        If the days are not in order, or ``parts`` is below 1.
    """
    if not first <= best <= last:
        raise ValueError(f"best must lie from first to last, not on {best}")
    number = whole(parts, "parts", least=1)
    counted: dict[tuple[date, date], int] = {}
    for part in range(number):
        q = (part + 0.5) / number
        ends = (
            _between(first, best, 1 - sqrt(1 - q)),
            _between(best, last, sqrt(q)),
        )
        counted[ends] = counted.get(ends, 0) + 1
    return tuple(FitWindow(*ends, n / number) for ends, n in counted.items())


def _between(one: date, other: date, share: float) -> date:
    return one + timedelta(days=round(share * (other - one).days))
