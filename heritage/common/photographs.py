"""A photograph that somebody sends: drawn anew, and no file left of what failed."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django import forms
from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile
from django.db.models import Model
from django.utils.translation import gettext_lazy as _

from heritage.kits.imaging import Prepared, Refused, WhyRefused, prepare

KINDS = ".jpg,.jpeg,.png,.webp,.heic,.heif,image/jpeg,image/png,image/webp,image/heic"
MB = 1024 * 1024
WHY_NOT = {
    WhyRefused.EMPTY: _("This file is empty. Choose another."),
    WhyRefused.TOO_LARGE: _(
        "The file is larger than %(mb)d MB. Send a smaller copy of the photograph."
    ),
    WhyRefused.NO_PHOTOGRAPH: _(
        "This is not a photograph that can be kept: send a JPEG, PNG, WebP or HEIC "
        "file."
    ),
    WhyRefused.DAMAGED: _(
        "The file is damaged or not whole, so it cannot be read as a photograph. Send "
        "it again from the camera or telephone."
    ),
    WhyRefused.TOO_MANY_DOTS: _(
        "The picture has more dots than a photograph needs, so it is not opened. Send "
        "a smaller copy."
    ),
    WhyRefused.TOO_SMALL: _("The picture is too small to be seen."),
    WhyRefused.MOVING: _("This is a moving picture. Send a still one."),
}


class PhotographField(forms.FileField):
    """A photograph of moderate size; what it truly is, `read_photograph` finds out."""

    widget = forms.ClearableFileInput(attrs={"accept": KINDS})
    default_error_messages = {"empty": _("This file is empty. Choose another.")}

    def clean(self, data: Any, initial: Any = None) -> Any:
        upload = super().clean(data, initial)
        most = settings.PICTURE_MAX_BYTES
        if isinstance(upload, UploadedFile) and (upload.size or 0) > most:
            raise ValidationError(
                _("The file is larger than %d MB. Send a smaller copy.") % (most // MB)
            )
        return upload


def read_photograph(data: bytes, *, field: str = "file") -> Prepared:
    """Check a photograph and draw it anew: nothing hidden beside the dots stays.

    Raises
    ------
    ValidationError
        By ``field``, if it is no photograph that can be kept.
    """
    try:
        return prepare(
            data,
            most_bytes=settings.PICTURE_MAX_BYTES,
            most_pixels=settings.PICTURE_MAX_PIXELS,
        )
    except Refused as refusal:
        words = WHY_NOT[refusal.why] % {"mb": settings.PICTURE_MAX_BYTES // MB}
        raise ValidationError({field: words}) from refusal


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
