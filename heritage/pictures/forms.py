"""Forms of the picture record."""

from typing import Any

from django import forms
from django.conf import settings
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from heritage.gatherings.models import GatheringQuerySet
from heritage.gatherings.places.selectors import shown_name
from heritage.people.models import VolunteerQuerySet
from heritage.pictures.models import DeletedPicture, PaperPermission, Picture

KINDS = ".jpg,.jpeg,.png,.webp,.heic,.heif,image/jpeg,image/png,image/webp,image/heic"


class DescriptionForm(forms.ModelForm):  # type: ignore[type-arg]
    """What is said of a picture."""

    class Meta:
        model = Picture
        fields = [
            "caption",
            "alt_text",
            "stage",
            "gathering",
            "taken_on",
            "shown",
            "recognisable",
            "people",
            "credit",
            "licence",
        ]
        widgets = {
            "alt_text": forms.Textarea(attrs={"rows": 3}),
            "taken_on": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
            "shown": forms.RadioSelect,
            "people": forms.CheckboxSelectMultiple,
        }
        help_texts = {
            "caption": _(
                "One sentence under the picture: what is happening, and where. Never "
                "the name of a child."
            ),
            "alt_text": _(
                "Say what you would tell somebody on the telephone: who is there, what "
                "they do, what matters. No need for “a picture of”. For example: Two "
                "people bend to pull flax in low light; beets lie in a row behind them."
            ),
            "gathering": _("The evening it was taken at."),
            "shown": _(
                "Only with the agreement of everybody who can be recognised is a "
                "picture shown to visitors."
            ),
        }

    def __init__(
        self,
        *args: Any,
        gatherings: GatheringQuerySet,
        people: VolunteerQuerySet,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        marked = self.fields["people"]
        if isinstance(marked, forms.ModelMultipleChoiceField):
            marked.queryset = people.select_related("guardian")
            # The choices are kept by the field's own class: only the words are ours.
            marked.label_from_instance = _named  # type: ignore[method-assign,assignment]
        field = self.fields["gathering"]
        if isinstance(field, forms.ModelChoiceField):
            field.queryset = gatherings
            field.empty_label = str(_("no gathering"))


def _named(person: Any) -> str:
    """Name somebody in the list: a child by the first name and the guardian."""
    if person.guardian is None:
        return str(person.name)
    return _("%(name)s, with %(guardian)s") % {
        "name": shown_name(person),
        "guardian": person.guardian,
    }


class PictureForm(DescriptionForm):
    """A new picture: the file, and what is said of it."""

    file = forms.FileField(
        label=_("The photograph"),
        help_text=_(
            "A JPEG, PNG, WebP or HEIC file, as your telephone makes it. Where it was "
            "taken is removed from what others see."
        ),
        widget=forms.ClearableFileInput(attrs={"accept": KINDS}),
        error_messages={"empty": _("The file is empty.")},
    )

    field_order = ["file", *DescriptionForm.Meta.fields]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["taken_on"].required = False
        self.fields["taken_on"].help_text = _(
            "Left empty, it is the day that the camera wrote down."
        )

    def clean_file(self) -> Any:
        upload = self.cleaned_data["file"]
        if (upload.size or 0) > settings.PICTURE_MAX_BYTES:
            raise ValidationError(
                _("The file is larger than %d MB. Send a smaller copy.")
                % (settings.PICTURE_MAX_BYTES // (1024 * 1024))
            )
        return upload

    def ask_for_the_file_again(self) -> None:
        """Say that a browser keeps no file, where only other fields were wrong."""
        if self.errors and "file" not in self.errors:
            self.add_error(
                "file",
                _("Choose the photograph again, please: a browser does not keep it."),
            )


class PermissionForm(forms.ModelForm):  # type: ignore[type-arg]
    """A permission that somebody in a picture signed on paper."""

    class Meta:
        model = PaperPermission
        fields = ["name", "guardian", "signed_on", "kept_where"]
        widgets = {
            "signed_on": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
        }


class DeleteForm(forms.ModelForm):  # type: ignore[type-arg]
    """Why a picture is deleted."""

    class Meta:
        model = DeletedPicture
        fields = ["reason"]
