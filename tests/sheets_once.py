"""For tests that ask for the same sheets again and again: each is drawn once."""

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
    with ExitStack() as patches:
        for module, name in DRAWN:
            once = _once(getattr(module, name))
            patches.enter_context(patch.object(module, name, once))
        yield


def _once(draw: Callable[..., bytes]) -> Callable[..., bytes]:
    drawn = dict[str, tuple[Any, bytes]]()

    def once(*said: Any, **more: Any) -> bytes:
        key = repr((said, more))
        if key not in drawn:
            drawn[key] = (said, more), draw(*said, **more)
        return drawn[key][1]

    return once
