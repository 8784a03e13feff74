"""Whether a young person may do some work at the machines."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from heritage.common.by_name import ByName
from heritage.common.forms import ServiceForm
from heritage.gatherings.asked.services import weigh
from heritage.gatherings.models import StationKind, Weighing
from heritage.people.models import Volunteer


class WeighingForm(ServiceForm):
    """Who, which work, what is decided, and what was weighed."""

    volunteer = ByName(Volunteer.objects.none(), label=_("Who"))
    work = forms.ChoiceField(label=_("Work"))
    may = forms.TypedChoiceField(
        label=_("Decision"),
        choices=[("yes", _("They may")), ("no", _("Not yet"))],
        coerce=lambda word: word == "yes",
        widget=forms.RadioSelect,
    )
    why = forms.CharField(
        label=_("What you considered"),
        max_length=400,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_(
            "How new they are to it, what they have been shown, and who stays beside "
            "them. Their guardian reads this too."
        ),
    )

    def __init__(
        self,
        *args: Any,
        people: list[Volunteer],
        works: tuple[StationKind, ...],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        rows = Volunteer.objects.of_keys([person.pk for person in people]).by_name()
        self.offer("volunteer", rows)
        self.fields["work"].choices = [(one.value, one.label) for one in works]  # type: ignore[attr-defined]

    def write(self, **given: Any) -> Weighing:
        return weigh(**given, **self.cleaned_data)
