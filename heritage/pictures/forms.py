"""Forms of the picture record."""

from datetime import datetime
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from heritage.common.forms import RecordForm, WithPhotograph
from heritage.common.photographs import PhotographField, read_photograph
from heritage.gatherings.models import Gathering
from heritage.gatherings.places.selectors import shown_name
from heritage.growth.models import Observation
from heritage.kits.imaging import grid_of
from heritage.lots.models import Lot
from heritage.people.models import User, Volunteer, VolunteerQuerySet
from heritage.pictures import services
from heritage.pictures.models import DeletedPicture, PaperPermission, Picture


class DescriptionForm(RecordForm[Picture]):
    """What is said of a picture."""

    class Meta:
        model = Picture
        fields = [
            "caption",
            "alt_text",
            "stage",
            "shot",
            "gathering",
            "lot",
            "observation",
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
            # Chosen where it was seen: `growth:observations` leads here.
            "observation": forms.HiddenInput,
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
            "lot": _("If the picture is of one lot of the crop."),
            "shown": _(
                "Only with the agreement of everybody who can be recognised is a "
                "picture shown to visitors."
            ),
        }

    def __init__(self, *args: Any, reader: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        here = self.instance.demonstration
        for name in ("caption", "alt_text"):
            self.fields[name].required = True
        self.offer("people", _markable(self.instance))
        # The choices are kept by the field's own class: only the words are ours.
        self.fields["people"].label_from_instance = _named  # type: ignore[attr-defined]
        gatherings = Gathering.objects.visible_to(reader).of(here).in_order()
        self.offer("gathering", gatherings)
        self.fields["gathering"].empty_label = str(_("no gathering"))  # type: ignore[attr-defined]
        lots = Lot.objects.of(here).newest_first()
        if lots.exists():
            self.offer("lot", lots)
            self.fields["lot"].empty_label = str(_("no lot"))  # type: ignore[attr-defined]
        else:
            del self.fields["lot"]

        self.offer("observation", Observation.objects.of(here))

    def values(self) -> dict[str, Any]:
        """Return what was typed; of lots only where there are some."""
        names = [name for name in self.Meta.fields if name in self.fields]
        return {name: self.cleaned_data[name] for name in names}

    def write(self, *, by: User, now: datetime) -> Picture:
        values = self.values()
        people = values.pop("people")
        return services.edit_picture(
            picture=self.instance, values=values, people=people, by=by, now=now
        )


def _markable(picture: Picture) -> VolunteerQuerySet:
    """Return who may be marked: everybody on the list, and those already marked."""
    here = Volunteer.objects.of(picture.demonstration)
    people = here.active()
    if picture.pk:
        people = (people | here.filter(pk__in=picture.people.values("pk"))).distinct()
    return people.by_name().select_related("guardian")


def _named(person: Any) -> str:
    """Name somebody in the list: a child by the first name and the guardian."""
    if person.guardian is None:
        return str(person.name)
    return _("%(name)s, with %(guardian)s") % {
        "name": shown_name(person),
        "guardian": person.guardian,
    }


class PictureForm(WithPhotograph[Picture], DescriptionForm):
    """A new picture: the file, and what is said of it."""

    file = PhotographField(
        label=_("The photograph"),
        help_text=_(
            "A JPEG, PNG, WebP or HEIC file, as your telephone makes it. Where it was "
            "taken is removed from what others see."
        ),
    )

    field_order = ["file", *DescriptionForm.Meta.fields]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["taken_on"].required = False
        self.fields["taken_on"].help_text = _(
            "Left empty, it is the day that the camera wrote down."
        )

    def write(self, *, by: User, now: datetime) -> Picture:
        original = self.cleaned_data["file"].read()
        values = self.values()
        people = values.pop("people")
        return services.add_picture(
            demonstration=self.instance.demonstration,
            original=original,
            prepared=read_photograph(original),
            values=values,
            people=people,
            by=by,
            now=now,
        )


class AdjustForm(RecordForm[Picture]):
    """How the copies are turned and trimmed, and which squares of them are hidden."""

    squares = forms.TypedMultipleChoiceField(coerce=int, required=False)

    class Meta:
        model = Picture
        fields = ["turned", "trim_left", "trim_top", "trim_right", "trim_bottom"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.columns, rows = grid_of(self.instance.width, self.instance.height)
        count = self.columns * rows
        self.fields["squares"].choices = [(n, n) for n in range(count)]  # type: ignore[attr-defined]

    @property
    def grid(self) -> list[tuple[int, bool, int, int]]:
        """Return each square: its number, whether it is hidden, its row and column."""
        if self.is_bound:
            hidden = {int(one) for one in self.data.getlist("squares") if one.isdigit()}  # type: ignore[attr-defined]
        else:
            hidden = set(self.instance.hidden_squares)
        count = len(self.fields["squares"].choices)  # type: ignore[attr-defined]
        return [
            (n, n in hidden, n // self.columns + 1, n % self.columns + 1)
            for n in range(count)
        ]

    def write(self) -> Picture:
        values = self.values()
        turned = any(values[name] != getattr(self.instance, name) for name in values)
        # The squares lie over the picture as it was seen: turned, they fit no more.
        values["hidden_squares"] = [] if turned else self.cleaned_data["squares"]
        return services.adjust(picture=self.instance, values=values)


class PermissionForm(RecordForm[PaperPermission]):
    """A permission that somebody in a picture signed on paper."""

    class Meta:
        model = PaperPermission
        fields = ["name", "guardian", "signed_on", "kept_where"]
        widgets = {
            "signed_on": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
        }

    def write(self, *, by: User, now: datetime) -> PaperPermission:
        return services.add_permission(
            picture=self.instance.picture, values=self.values(), by=by, now=now
        )


class DeleteForm(RecordForm[DeletedPicture]):
    """Why a picture is deleted."""

    class Meta:
        model = DeletedPicture
        fields = ["reason"]

    def write(self, *, picture: Picture, by: User, now: datetime) -> DeletedPicture:
        return services.delete_picture(picture=picture, by=by, now=now, **self.values())
