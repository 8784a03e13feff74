"""For tests that ask for the same sheets again and again: each is drawn once.

Or one stands for all, where only who gets them is asked.
"""

from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from typing import Any
from unittest.mock import patch

from heritage.kits.paper import booklet
from heritage.kits.paper import sheet as paper

DRAWN = [
    (paper, "sheet"),
    (booklet, "leaf_pdf"),
    (booklet, "cards_pdf"),
    (booklet, "booklet_pdf"),
]


@contextmanager
def sheets_drawn_once() -> Iterator[None]:
    """Keep every sheet that is printed: the same arguments give the same bytes.

    What was said is kept too, so that nothing else can take its place in memory and
    be taken for it.
    """
    with _instead(_once):
        yield


@contextmanager
def one_sheet_for_all() -> Iterator[None]:
    """Give the first sheet that is printed in the place of every other."""
    first = list[bytes]()

    def instead(draw: Callable[..., bytes]) -> Callable[..., bytes]:
        def give(*said: Any, **more: Any) -> bytes:
            if not first:
                first.append(draw(*said, **more))
            return first[0]

        return give

    with _instead(instead):
        yield


@contextmanager
def _instead(of: Callable[[Callable[..., bytes]], Callable[..., bytes]]) -> Iterator:
    with ExitStack() as patches:
        for module, name in DRAWN:
            drawn = of(getattr(module, name))
            patches.enter_context(patch.object(module, name, drawn))
        yield


def _once(draw: Callable[..., bytes]) -> Callable[..., bytes]:
    drawn = dict[str, tuple[Any, bytes]]()

    def once(*said: Any, **more: Any) -> bytes:
        key = repr((said, more))
        if key not in drawn:
            drawn[key] = (said, more), draw(*said, **more)
        return drawn[key][1]

    return once
