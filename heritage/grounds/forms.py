"""The ground for visitors, its ways out and its stewards, as typed."""

from datetime import datetime
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from heritage.briefings.models import Briefing
from heritage.common.by_name import ByName
from heritage.common.forms import RecordForm, two_lines
from heritage.grounds import services
from heritage.grounds.models import CrowdPlan, Exit, StewardPost
from heritage.people.models import Volunteer


def figure() -> forms.TextInput:
    return forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})


class CrowdPlanForm(RecordForm[CrowdPlan]):
    """The ground that visitors may stand on."""

    class Meta:
        model = CrowdPlan
        fields = ["area_m2", "taken_m2", "minutes"]
        widgets = {"area_m2": figure(), "taken_m2": figure(), "minutes": figure()}
        help_texts = {
            "area_m2": _("Pace it: length times breadth in metres is near enough."),
            "minutes": _("5 where much can go wrong, 8 or 10 where little can."),
        }


class ExitForm(RecordForm[Exit]):
    """A way out with its clear width."""

    class Meta:
        model = Exit
        fields = ["name", "width_m", "ground"]
        widgets = {"width_m": figure(), "ground": forms.RadioSelect}
        help_texts = {"width_m": _("At its narrowest, between the posts, gate open.")}


class StewardPostForm(RecordForm[StewardPost]):
    """A post and who keeps it."""

    class Meta:
        model = StewardPost
        fields = ["duty", "place", "task", "volunteer", "briefing", "open_days_only"]
        widgets = {"task": two_lines()}
        field_classes = {"volunteer": ByName}
        help_texts = {
            "volunteer": _("Aged 18 or older. If empty, it shows as nobody yet."),
            "briefing": _("Shows “to read” until they confirm it."),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        here = self.instance.demonstration
        self.offer("volunteer", Volunteer.objects.of(here).active().by_name())
        self.offer("briefing", Briefing.objects.of(here).by_title())

    def write(self, *, now: datetime) -> StewardPost:
        return services.keep_post(post=self.instance, values=self.values(), now=now)
