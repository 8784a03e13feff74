"""One line of what needs doing."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Todo:
    """One thing that needs doing, and the address that does it."""

    words: str
    why: str
    url: str
    is_due: bool = False
