"""What is said beside a figure, as a code: the page that shows it has the sentence."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Generic, TypeVar

__all__ = ["Reason"]

Code = TypeVar("Code", bound=StrEnum, covariant=True)


@dataclass(frozen=True, slots=True)
class Reason(Generic[Code]):
    """A code with its figures.

    Attributes
    ----------
    code : StrEnum
        What is said.
    figures : mapping of str to float
        The figures it is said with, by name, and rounded where that needs care.
    """

    code: Code
    figures: Mapping[str, float] = field(default_factory=dict, hash=False)
