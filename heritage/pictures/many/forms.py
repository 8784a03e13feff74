"""Many pictures with the answers they share, and the captions they lack."""

from collections.abc import Iterable
from datetime import datetime
from functools import partial
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _

from heritage.common.by_name import ByName
from heritage.common.forms import ServiceForm
from heritage.common.photographs import KINDS, PhotographField
from heritage.gatherings.models import Gathering
from heritage.people.models import User
from heritage.pictures import services
from heritage.pictures.forms import WithWordsSeen
from heritage.pictures.many.services import Outcome, add_many
from heritage.pictures.models import Licence, Picture, Shot, Shown
from heritage.season.models import Demonstration, Stage, Tool

MOST = 100


class SeveralFiles(forms.ClearableFileInput):
    allow_multiple_selected = True


class PhotographsField(PhotographField):
    """Up to a hundred photographs; what each truly is, the service finds out."""

    widget = SeveralFiles(attrs={"accept": KINDS})

    def clean(self, data: Any, initial: Any = None) -> list[Any]:
        files = data if isinstance(data, list | tuple) else [data]
        if len(files) > MOST:
            raise ValidationError(_("Send at most %d at a time.") % MOST)
        # Size and kind are asked by the service, which refuses one file alone.
        clean = partial(forms.FileField.clean, self, initial=initial)
        return [clean(file) for file in files if file] or [clean(None)]


class ManyForm(ServiceForm):
    """Photographs of one evening or one stage; what they share is asked once."""

    photographs = PhotographsField(
        label=_("Photographs"),
        help_text=_("Choose as many as you like: JPEG, PNG, WebP or HEIC."),
    )
    gathering = ByName(Gathering.objects.none(), label=_("Gathering"), required=False)
    stage = forms.ChoiceField(label=_("Stage"), choices=Stage.choices)
    credit = forms.CharField(label=_("Photographer"), max_length=120)
    licence = forms.ChoiceField(label=_("Others may use them"), choices=Licence.choices)
    shown = forms.ChoiceField(
        label=_("People in them"),
        choices=[
            (Shown.UNASKED, _("some can be recognised")),
            (Shown.NOBODY, _("nobody can be recognised in any of them")),
        ],
        widget=forms.RadioSelect,
    )

    def __init__(self, *args: Any, here: Demonstration, reader: User, **kwargs: Any):
        super().__init__(*args, **kwargs)
        self.here = here
        rows = Gathering.objects.visible_to(reader).of(here)
        self.offer("gathering", rows.order_by("-starts_at", "-pk"))

    def write(self, *, by: User, now: datetime) -> list[Outcome]:
        answers = dict(self.cleaned_data)
        files = answers.pop("photographs")
        return add_many(
            demonstration=self.here, files=files, answers=answers, by=by, now=now
        )


class CaptionForm(WithWordsSeen):
    """The words of one picture among several; left empty, it waits."""

    class Meta:
        model = Picture
        fields = ["caption", "alt_text", "shot", "tool"]
        labels = {
            "caption": _("Caption"),
            "alt_text": _("For somebody who can't see it"),
            "shot": _("What of"),
        }
        widgets = {"alt_text": forms.Textarea(attrs={"rows": 2})}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._offer("shot", Shot)
        usual, known = Tool.of_stage(Stage(self.instance.stage)), self.instance.tool
        self._offer("tool", [one for one in Tool if one in usual or one == known])

    def _offer(self, name: str, codes: Iterable[Shot | Tool]) -> None:
        """Offer codes and none; where there are no codes, do not ask."""
        choices = [(one.value, one.label) for one in codes]
        if choices:
            old: Any = self.fields[name]
            old.choices = [("", _now("no matter")), *choices]
        else:
            del self.fields[name]

    def write(self, *, by: User, now: datetime) -> Picture:
        return services.edit_picture(
            picture=self.instance,
            values=self.values(),
            by=by,
            now=now,
            seen=self.seen,
        )
