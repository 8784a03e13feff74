"""How large words may be so that they go on a page: measured, before any is drawn."""

from collections.abc import Callable, Iterator
from typing import Any

from reportlab.platypus import Flowable, KeepTogether
from reportlab.platypus.flowables import _listWrapOn  # type: ignore[attr-defined]


def height(flowables: list[Flowable], width: float) -> float:
    """Return how high flowables stand below each other, in points."""
    return float(_listWrapOn(flowables, width, None)[1])


def opened(flowables: list[Flowable]) -> Iterator[Flowable]:
    """Give flowables, and of what keeps together its own, as a page takes them."""
    for one in flowables:
        held: Any = one
        yield from opened(held._content) if isinstance(one, KeepTogether) else [one]


def first_fitting(fits: Callable[[int], bool], count: int, guess: int) -> int:
    """Return the first of so many that fits, or ``count`` where none does.

    After one that fits, all fit. The guess is asked first and then the one before it,
    since what comes next is mostly like what came last; the rest by halves.
    """
    low, high, asked = 0, count, guess
    while low < high:
        if fits(asked):
            high = asked
        else:
            low = asked + 1
        asked = guess - 1 if low < high == guess else (low + high) // 2
    return low
