"""For tests that ask for the same sheets again and again: each is drawn once."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any
from unittest.mock import patch

from heritage.kits.paper import sheet as paper


@contextmanager
def sheets_drawn_once() -> Iterator[None]:
    """Keep every sheet that is printed: the same arguments give the same bytes.

    What was said is kept too, so that nothing else can take its place in memory and
    be taken for it.
    """
    draw, drawn = paper.sheet, dict[str, tuple[Any, bytes]]()

    def once(**said: Any) -> bytes:
        key = repr(said)
        if key not in drawn:
            drawn[key] = said, draw(**said)
        return drawn[key][1]

    with patch.object(paper, "sheet", once):
        yield
