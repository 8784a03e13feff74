"""What somebody wonders about the finish."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.formats import date_format
from django.utils.translation import gettext_lazy as _

from heritage.calc.pulling import Band
from heritage.tally.forecast.selectors import WhatIf
from heritage.tally.pace.selectors import Plan


class WhatIfForm(forms.Form):
    """A question that stands in the page's address, so that it can be kept."""

    more = forms.IntegerField(
        label=_("More pullers signed up for each evening"),
        min_value=0,
        max_value=200,
        required=False,
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
        help_text=_("We assume that only the usual share of these comes too."),
    )
    longer = forms.IntegerField(
        label=_("Start earlier, in minutes"),
        min_value=0,
        max_value=240,
        required=False,
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
        help_text=_("For a longer evening, start earlier."),
    )
    wet_from = forms.DateField(
        label=_("If it rains for a week from"),
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        help_text=_("No flax is pulled for seven days."),
    )
    room = forms.IntegerField(
        label=_("Beets the dam still has room for"),
        min_value=0,
        max_value=1_000_000,
        required=False,
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
        help_text=_("From the dam's own page; leave it empty if you do not know."),
    )

    def __init__(self, *args: Any, plans: Sequence[Plan], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._days = {plan.day.isoformat(): plan.day for plan in plans}
        choices = [(key, date_format(day, "D j M")) for key, day in self._days.items()]
        self.fields["machine"] = forms.MultipleChoiceField(
            label=_("The machine on"),
            choices=choices,
            required=False,
            widget=forms.CheckboxSelectMultiple,
        )

    def asked(self) -> WhatIf:
        """Return the question; nothing if it could not be read."""
        if not self.is_valid():
            return WhatIf()
        typed = self.cleaned_data
        return WhatIf(
            more_pullers=typed["more"] or 0,
            machine_days=frozenset(self._days[key] for key in typed["machine"]),
            wet_from=typed["wet_from"],
            longer_min=typed["longer"] or 0,
        )

    def room_in_dam(self) -> Band | None:
        """Return the beets that the dam still takes, if that was said."""
        room = self.cleaned_data.get("room") if self.is_valid() else None
        return None if room is None else Band(room, room, room)
