"""The form for a package that comes back."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from heritage.archive.taking_in import services
from heritage.common.forms import ServiceForm

MB = 1024 * 1024
# More takes longer than anybody waits for a page.
MOST_BYTES = 500 * MB


class PackageForm(ServiceForm):
    """A season's archive, as it was saved."""

    file = forms.FileField(
        label=gettext_lazy("The archive"),
        help_text=gettext_lazy("The zip, as you saved it. Don't unpack it."),
        widget=forms.ClearableFileInput(attrs={"accept": ".zip,application/zip"}),
    )

    def clean_file(self) -> "UploadedFile[bytes]":
        """Leave a package that takes long to the command."""
        upload: UploadedFile[bytes] = self.cleaned_data["file"]
        if (upload.size or 0) > MOST_BYTES:
            words = _("Over %d MB: ask for “manage.py take_in” to be run instead.")
            raise ValidationError(words % (MOST_BYTES // MB))
        return upload

    def write(self, *args: Any, **given: Any) -> services.TakenIn:
        file: Any = self.cleaned_data["file"]
        return services.take_in(file=file)
