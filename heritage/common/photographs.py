"""A photograph that somebody sends: drawn anew, and no file left of what failed."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.core.exceptions import ValidationError
from django.db.models import Model

from heritage.kits.imaging import Prepared, Refused, prepare


def read_photograph(
    data: bytes, *, most_bytes: int, most_pixels: int, field: str = "file"
) -> Prepared:
    """Check a photograph and draw it anew: nothing hidden beside the dots stays.

    Raises
    ------
    ValidationError
        By ``field``, if it is no photograph that can be kept.
    """
    try:
        return prepare(data, most_bytes=most_bytes, most_pixels=most_pixels)
    except Refused as refusal:
        raise ValidationError({field: str(refusal)}) from refusal


@contextmanager
def tidied_up(row: Model, *names: str) -> Iterator[None]:
    """Leave no file of the named fields behind if the row cannot be written."""
    try:
        yield
    except Exception:
        for name in names:
            file = getattr(row, name)
            if file._committed:
                file.delete(save=False)
        raise
