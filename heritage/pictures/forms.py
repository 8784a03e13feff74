"""Forms of the picture record."""

from collections.abc import Callable
from datetime import datetime
from typing import Any, Final

from crispy_forms.helper import FormHelper
from django import forms
from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.utils.formats import date_format
from django.utils.translation import gettext_lazy as _

from heritage.common.by_name import ByName, CodeByName
from heritage.common.folding import Fold, layout_of
from heritage.common.forms import RecordForm, WithPhotograph
from heritage.common.parting import SOUGHT, NameTicks
from heritage.common.photographs import PhotographField, read_photograph
from heritage.gatherings.models import Gathering
from heritage.gatherings.places.selectors import shown_name
from heritage.growth.models import Observation
from heritage.kits.imaging import FINER, closer, grid_of
from heritage.lots.models import Lot
from heritage.machines.models import Machine
from heritage.people.models import User, Volunteer, VolunteerQuerySet
from heritage.pictures import services
from heritage.pictures.models import (
    DeletedPicture,
    PaperPermission,
    Picture,
)
from heritage.pictures.services import MEANWHILE
from heritage.season.models import Demonstration, Plot, Stage, Tool

MANY_ROWS: Final = 12
NAMED: Final = ("recognisable", "people")
SELDOM: Final = ("shot", "tool", "plot", "lot", "machine", "keywords", "taken_on")


def _pick(
    form: forms.BaseForm,
    name: str,
    rows: QuerySet[Any],
    none: Any,
    label_of: Callable[[Any], str] = str,
) -> None:
    """Offer rows: as a list if there are few, to be found if many, else not."""
    old: Any = form.fields[name]
    if len(rows) > MANY_ROWS:
        form.fields[name] = ByName(rows, label=old.label, required=False)
    elif rows:
        old.queryset = rows
        old.empty_label = str(none)
        old.label_from_instance = label_of
    else:
        del form.fields[name]


def evening_label(row: Gathering) -> str:
    """Name a gathering by its day too, since many are called the same."""
    day = row.starts_at.astimezone(row.demonstration.zone)
    return f"{row.title}, {date_format(day, 'D j F')}"


class WithWordsSeen(RecordForm[Picture]):
    """A form that knows which words of a picture stood there when it was shown."""

    seen_words = ("caption", "alt_text")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in self.seen_words:
            self.fields[name].show_hidden_initial = True

    @property
    def seen(self) -> dict[str, str]:
        names = {name: self[name].html_initial_name for name in self.seen_words}
        sent = {name: self.data.get(key) for name, key in names.items()}
        return {name: text for name, text in sent.items() if text is not None}

    def refuse(self, error: ValidationError) -> None:
        """Show what somebody wrote meanwhile as seen, so that the next press counts."""
        super().refuse(error)
        if not self.has_error("caption", MEANWHILE) and not self.has_error(
            "alt_text", MEANWHILE
        ):
            return
        now = Picture.objects.get(pk=self.instance.pk)
        self.data = self.data.copy()  # type: ignore[attr-defined]
        for name in self.seen_words:
            self.data[self[name].html_initial_name] = getattr(now, name)  # type: ignore[index]


class DescriptionForm(WithWordsSeen):
    """What is said of a picture."""

    tool = CodeByName(Tool.choices, label=_("Tool"), required=False)

    class Meta:
        model = Picture
        fields = [
            "caption",
            "alt_text",
            "stage",
            "shot",
            "tool",
            "gathering",
            "plot",
            "lot",
            "machine",
            "keywords",
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
            "people": NameTicks,
            # Chosen where it was seen: `growth:observations` leads here.
            "observation": forms.HiddenInput,
        }
        help_texts = {
            "caption": _(
                "One sentence under the picture: what is happening, and where. Never "
                "the name of a child."
            ),
            "alt_text": _(
                "Say what you would tell somebody on the phone: who is there, what "
                "they do, what matters. No need for “a picture of”. For example: Two "
                "people bend to pull flax in low light; beets lie in a row behind them."
            ),
            "gathering": _("The evening it was taken at."),
            "shown": _(
                "Visitors see a picture only if everybody who can be recognised has "
                "agreed."
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
        evenings = Gathering.objects.visible_to(reader).of(here).in_order()
        evenings = evenings.select_related("demonstration")
        _pick(self, "gathering", evenings, _("no gathering"), evening_label)
        _pick(self, "plot", Plot.objects.of(here).in_order(), _("no plot"))
        _pick(self, "lot", Lot.objects.of(here).newest_first(), _("no lot"))
        _pick(self, "machine", Machine.objects.of(here).by_name(), _("no machine"))
        self.offer("observation", Observation.objects.of(here))

    @property
    def helper(self) -> FormHelper:
        """Fold away what is seldom said of a picture."""
        seldom = [name for name in SELDOM if name in self.fields]
        apart = {*seldom, *NAMED}
        shown = [name for name in self.fields if name not in apart]
        after = shown.index("shown") + 1
        return layout_of(
            *shown[:after],
            Fold(_("Name the people in it"), *NAMED, is_open=_names_people),
            *shown[after:],
            Fold(_("More about it"), *seldom),
        )

    def write(self, *, by: User, now: datetime) -> Picture:
        values = self.values()
        people = values.pop("people")
        return services.edit_picture(
            picture=self.instance,
            values=values,
            people=people,
            by=by,
            now=now,
            seen=self.seen,
        )


def _names_people(form: "DescriptionForm") -> bool:
    """Tell whether people are named in a picture, or looked for."""
    named = [form[name].value() for name in NAMED]
    return any(named) or bool(form.data.get(SOUGHT))


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
            "A JPEG, PNG, WebP or HEIC file, straight from your phone. Where it was "
            "taken is removed from what others see."
        ),
    )

    field_order = ["file", *DescriptionForm.Meta.fields]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["taken_on"].required = False
        self.fields["taken_on"].help_text = _("Leave empty to use the camera's date.")

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


class FindForm(forms.Form):
    """By what pictures are found; who is in them and what lacks, for members alone."""

    words = forms.CharField(
        label=_("Words"),
        required=False,
        widget=forms.TextInput(attrs={"type": "search"}),
    )
    stage = forms.ChoiceField(
        label=_("Stage"), required=False, choices=[("", _("all")), *Stage.choices]
    )
    tool = forms.ChoiceField(label=_("Tool"), required=False)
    evening = forms.ModelChoiceField(
        Gathering.objects.none(),
        label=_("Evening"),
        required=False,
        empty_label=_("all"),
    )
    since = forms.DateField(
        label=_("From"),
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    until = forms.DateField(
        label=_("To"),
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    person = forms.ModelChoiceField(
        Volunteer.objects.none(),
        label=_("Who is in it"),
        required=False,
        empty_label=_("all"),
    )
    without = forms.BooleanField(
        label=_("Only those without a caption"), required=False
    )

    def __init__(
        self, asked: Any, *, here: Demonstration, reader: Any, people: VolunteerQuerySet
    ) -> None:
        super().__init__(asked)
        shown = Picture.objects.visible_to(reader).of(here)
        seen = shown.tools()
        self.fields["tool"].choices = [  # type: ignore[attr-defined]
            ("", _("all")),
            *(choice for choice in Tool.choices if choice[0] in seen),
        ]
        evenings = Gathering.objects.visible_to(reader)
        evenings = evenings.filter(pk__in=shown.values("gathering"))
        evenings = evenings.in_order().select_related("demonstration")
        _pick(self, "evening", evenings, _("all"), evening_label)
        _pick(self, "person", people, _("all"), _named)
        for field in self.fields.values():
            field.says_optional = False  # type: ignore[attr-defined]

    def visitors_only(self) -> "FindForm":
        """Leave out what visitors are not told."""
        self.fields.pop("person", None)
        del self.fields["without"]
        return self

    @property
    def asked(self) -> dict[str, Any]:
        """Return what was asked and can be."""
        self.is_valid()
        return {name: value for name, value in self.cleaned_data.items() if value}


class AdjustForm(RecordForm[Picture]):
    """How the copies are turned and trimmed, and which squares of them are hidden."""

    squares = forms.TypedMultipleChoiceField(coerce=int, required=False)

    class Meta:
        model = Picture
        fields = ["turned", "trim_left", "trim_top", "trim_right", "trim_bottom"]

    def __init__(self, *args: Any, part: int | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        size = self.instance.width, self.instance.height
        self.part, (self.columns, rows) = part, grid_of(*size)
        whole = list(range(self.columns * rows))
        self.numbers = whole if part is None else closer(part, *size)
        self.fields["squares"].choices = [(n, n) for n in self.numbers]  # type: ignore[attr-defined]

    @property
    def grid(self) -> list[tuple[int, bool, int, int]]:
        """Return each square: its number, whether it is hidden, its row and column."""
        if self.is_bound:
            hidden = {int(one) for one in self.data.getlist("squares") if one.isdigit()}  # type: ignore[attr-defined]
        else:
            hidden = set(self.instance.hidden_squares)
        return [
            (number, number in hidden, n // self.columns + 1, n % self.columns + 1)
            for n, number in enumerate(self.numbers)
        ]

    @property
    def view_box(self) -> str:
        """Say which part of the picture lies under the squares, as SVG does."""
        part = self.part or 0
        wide, high = self.instance.width / FINER, self.instance.height / FINER
        left, top = part % FINER * wide, part // FINER * high
        return f"{left:.2f} {top:.2f} {wide:.2f} {high:.2f}"

    def write(self) -> Picture:
        values = self.values()
        turned = any(values[name] != getattr(self.instance, name) for name in values)
        elsewhere = set(self.instance.hidden_squares) - set(self.numbers)
        squares = sorted(elsewhere | set(self.cleaned_data["squares"]))
        # The squares lie over the picture as it was seen: turned, they fit no more.
        values["hidden_squares"] = [] if turned else squares
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
