"""What a subject must know of one above it, whose rows it does not reach itself.

The subject below declares a `Question` with what is handed over and what comes back.
The subject above answers it in the `ready` of its `apps.py`, so that each keeps its
own rows and the imports point down.
"""

from collections.abc import Callable
from typing import Generic, ParamSpec, TypeVar

Asked = ParamSpec("Asked")
Answer = TypeVar("Answer")


class Question(Generic[Asked, Answer]):
    """A function that a subject above gives."""

    def __init__(self, words: str) -> None:
        self.words = words
        self._answer: Callable[Asked, Answer] | None = None

    @property
    def is_answered(self) -> bool:
        """Whether a subject above gave its function."""
        return self._answer is not None

    def answered_by(self, answer: Callable[Asked, Answer]) -> None:
        """Take the function that answers."""
        self._answer = answer

    def __call__(self, *asked: Asked.args, **named: Asked.kwargs) -> Answer:
        if self._answer is None:
            raise LookupError(self.words)
        return self._answer(*asked, **named)
