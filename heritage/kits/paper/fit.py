"""How large words may be so that they go on a page: measured, before any is drawn."""

from collections.abc import Callable, Iterator, Sequence
from typing import Any

from reportlab.platypus import CondPageBreak, Flowable, KeepTogether, PageBreak
from reportlab.platypus.flowables import _listWrapOn  # type: ignore[attr-defined]


def height(flowables: list[Flowable], width: float) -> float:
    """Return how high flowables stand below each other, in points.

    ReportLab says of what keeps together, and of a page's end, that they are endless.
    """
    return float(_listWrapOn([*opened(flowables)], width, None)[1])


def opened(flowables: list[Flowable]) -> Iterator[Flowable]:
    """Give flowables, and of what keeps together its own, as a page takes them.

    What ends a page is left out: it takes no room of its own.
    """
    for one in flowables:
        held: Any = one
        if isinstance(one, KeepTogether):
            yield from opened(held._content)
        elif not isinstance(one, CondPageBreak | PageBreak):
            yield one


def first_fitting(
    needs: Callable[[int], float], shares: Sequence[float], guess: int
) -> int:
    """Return the first of the looks that fits, or how many there are if none does.

    ``needs`` tells how many times the room a look needs: at most once if it fits; so do
    all that follow then. ``shares`` says about how high each look sets what the usual
    one sets one high, so that after the guess one is asked that is likely to be it.
    """
    low, high, asked = 0, len(shares), guess
    while low < high:
        needed = needs(asked)
        if needed <= 1:
            high = asked
        else:
            low = asked + 1
        wanted = shares[asked] / needed
        likely = sum(share > wanted for share in shares)
        asked = min(max(low, likely), high - 1)
    return low
