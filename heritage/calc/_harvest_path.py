"""The harvest carried from day to day, exactly, as chances of every state."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import accumulate, pairwise
from math import ceil

import numpy as np
from numpy.typing import NDArray

from heritage.calc._harvest_model import DAY, FitWindow, Harvest
from heritage.calc._outlook import Chances, Evening, Weather

# The field is carried in at most so many lots; up to there, a lot is one beet.
MOST_LOTS = 60
# Two sets of chances are carried side by side: of every course of the season, and of
# those alone in which no flax waits too long for the dam.
EVERY, IN_TIME = 0, 1


@dataclass(frozen=True, slots=True)
class Step:
    """What one day may do, in lots.

    ``cart_in_time`` and ``room_in_time`` are what the carts of the days that flax may
    wait can take, and how many can be under water by their end.
    """

    weather: Chances
    pull: Chances | None
    cart: int
    room: int
    cart_in_time: int
    room_in_time: int


@dataclass(frozen=True, slots=True)
class Walk:
    """What is known at the end of each day, a row a day.

    The chances that the field is done; that all is under water, and in time; how many
    lots of a field done in time are not under water yet; and the lots to be expected
    that are not under water, and that stand in the field.
    """

    done: list[float]
    under_water: list[float]
    done_in_time: list[Chances]
    to_cart: list[float]
    standing: list[float]


class Path:
    """The days of one harvest, made ready to be walked for each of its windows.

    A state is how many lots stand in the field (last axis), and how many of those in
    field and stook are not under water yet (the axis before): pulling moves the one,
    carting the other. The axis before these is a wet or a dry day.
    """

    def __init__(self, harvest: Harvest) -> None:
        total = harvest.beets_left + harvest.waiting
        self.unit = max(1, ceil(total / MOST_LOTS))
        self.field = ceil(harvest.beets_left / self.unit)
        self.all = self.field + ceil(harvest.waiting / self.unit)
        self.days = harvest.days
        self._harvest = harvest
        self._pulls = {one.day: self._pull(one) for one in harvest.evenings}
        self._steps = self._make_steps()
        self._left = np.arange(self.all + 1)[:, None]
        self._field = np.arange(self.field + 1)[None, :]

    def unfit(self, window: FitWindow) -> int:
        """Count the evenings that come before a window: which are alike walk alike."""
        return sum(day < window.first for day in self._pulls)

    def walk(self, first: date) -> Walk:
        """Carry the chances through the season if nothing is pulled before a day."""
        chain = Weather(self._harvest.wet_to_dry, self._harvest.dry_to_dry)
        states = np.zeros((2, 2, self.all + 1, self.field + 1))
        states[:, :, self.all, self.field] = chain.start(self._harvest.last_was_dry)
        told = Walk([], [], [], [], [])
        for day, step in zip(self.days, self._steps, strict=True):
            states = np.tensordot(states, step.weather, (1, 0)).transpose(0, 3, 1, 2)
            if step.pull is not None and day >= first:
                states[:, 1] = states[:, 1] @ step.pull
            if step.cart:
                states = self._carted(states, step)
            states[IN_TIME][:, self._waits_too_long(step)] = 0
            self._tell(told, states)
        return told

    def course(self, walk: Walk, window: FitWindow) -> tuple[Chances, Chances]:
        """Return the chances of pulled and of under water by day, within a window."""
        last = (window.last - self.days[0]).days
        if self.field == 0:
            last = len(self.days) - 1
        if last < 0:
            nothing = np.zeros(len(self.days))
            return nothing, nothing
        pulled = [*walk.done[: last + 1]]
        under_water = [*walk.under_water[: last + 1]]
        left = walk.done_in_time[last]
        # Nothing is pulled in time any more; the carts go on.
        for step in self._steps[last + 1 :]:
            left = self._carted_of_done(left, step)
            pulled.append(pulled[-1])
            under_water.append(float(left[0]))
        return np.array(pulled), np.array(under_water)

    def _tell(self, told: Walk, states: Chances) -> None:
        every, in_time = states.sum(axis=1)
        told.done.append(float(every[:, 0].sum()))
        told.under_water.append(float(in_time[0, 0]))
        told.done_in_time.append(in_time[:, 0])
        told.to_cart.append(float(every.sum(axis=1) @ self._left[:, 0]))
        told.standing.append(float(every.sum(axis=0) @ self._field[0]))

    def _carted(self, states: Chances, step: Step) -> Chances:
        least = np.maximum(self._field, self.all - step.room)
        to = np.minimum(self._left, np.maximum(self._left - step.cart, least))
        size = to.size
        where = (to * (self.field + 1) + self._field).ravel()
        # The four layers of the states are moved in one go.
        moved = _summed(
            (where + size * np.arange(4)[:, None]).ravel(),
            states.ravel(),
            4 * size,
        )
        return moved.reshape(states.shape)

    def _carted_of_done(self, left: Chances, step: Step) -> Chances:
        lots = np.arange(self.all + 1)
        to = np.minimum(lots, np.maximum(lots - step.cart, self.all - step.room))
        return _summed(to, left, self.all + 1)

    def _waits_too_long(self, step: Step) -> NDArray[np.bool_]:
        """Return in which states some of today's flax will have waited too long.

        The oldest goes first, so what is pulled later keeps nothing back.
        """
        by_carts = self._left - self._field > step.cart_in_time
        by_room = self.all - self._field > step.room_in_time
        too_long: NDArray[np.bool_] = by_carts | by_room
        return too_long

    def _make_steps(self) -> list[Step]:
        harvest, carts, rooms = self._harvest, self._carts(), self._rooms()
        chain = Weather(harvest.wet_to_dry, harvest.dry_to_dry)
        evenings = {one.day: one for one in harvest.evenings}
        known = harvest.last_day or harvest.first_day - DAY
        steps = []
        for n, day in enumerate(self.days):
            dry = evenings[day].dry_chance if day in evenings else None
            ahead = slice(n + 1, n + 1 + harvest.wait_days)
            step = Step(
                weather=chain.after((day - known).days, dry),
                pull=self._pulls.get(day),
                cart=carts[n],
                room=rooms[n],
                cart_in_time=sum(carts[ahead]),
                room_in_time=self._room_in_time(carts[ahead], rooms[ahead]),
            )
            steps.append(step)
            known = day
        return steps

    def _room_in_time(self, carts: Sequence[int], rooms: Sequence[int]) -> int:
        """Return how many can be under water by the end of the days ahead.

        A cart that stood before a full dam does not make up for it afterwards.
        """
        taken = self.all
        for cart, room in zip(carts, rooms, strict=True):
            taken = min(taken + cart, room)
        return taken

    def _pull(self, evening: Evening) -> Chances:
        """Return the chances of coming from one number of lots to another."""
        size = self.field + 1
        off = np.zeros(size)
        for beets, chance in evening.outcomes():
            lots, over = divmod(beets, self.unit)
            # Between two numbers of lots, as often each as keeps the mean.
            off[min(lots, self.field)] += chance * (1 - over / self.unit)
            off[min(lots + 1, self.field)] += chance * over / self.unit
        pull = np.zeros((size, size))
        for left in range(size):
            pull[left, : left + 1] = off[: left + 1][::-1]
            pull[left, 0] += off[left + 1 :].sum()
        return pull

    def _carts(self) -> list[int]:
        if self._harvest.carts is None:
            return [self.all] * len(self.days)
        beets = {one.day: one.beets for one in self._harvest.carts}
        sums = accumulate((beets.get(day, 0) for day in self.days), initial=0)
        # Rounded down over the days together: what one day lost, another gains.
        lots = [total // self.unit for total in sums]
        return [min(self.all, after - before) for before, after in pairwise(lots)]

    def _rooms(self) -> list[int]:
        rooms = self._harvest.rooms
        if rooms is None:
            return [self.all] * len(self.days)
        sums = [sum(one.beets for one in rooms if one.day <= day) for day in self.days]
        return [min(self.all, beets // self.unit) for beets in sums]


def _summed(where: NDArray[np.int64], chances: Chances, size: int) -> Chances:
    """Add chances up by where they come to."""
    return np.bincount(where, weights=chances, minlength=size).astype(np.float64)
