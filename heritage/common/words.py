"""Sentences for the codes that calculations answer with."""

from collections.abc import Mapping
from enum import StrEnum
from typing import TypeVar

from django.utils.functional import Promise

from heritage.calc.reasons import Reason

Code = TypeVar("Code", bound=StrEnum)


def in_words(reason: Reason[Code], words: Mapping[Code, str | Promise]) -> str:
    """Say a reason, with its figures filled into the sentence for its code."""
    return str(words[reason.code]) % reason.figures
