"""The emergency plan and the first-aid points, as typed."""

from datetime import datetime
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from heritage.briefings.emergency.selectors import PARTS, PLAN_FIELDS
from heritage.briefings.models import EmergencyPlan, FirstAidPoint
from heritage.common.folding import Fold, layout_of
from heritage.common.forms import RecordForm, two_lines
from heritage.common.rows import keep_record
from heritage.people.models import User

SHORT = ("number", "grid_reference")
WHAT_TO_DO = tuple(name for name, _always in PARTS[-1][1])


class EmergencyPlanForm(RecordForm[EmergencyPlan]):
    """All that the plan may say; what is left empty is printed as a line to fill."""

    class Meta:
        model = EmergencyPlan
        fields = [*PLAN_FIELDS, "petrol_l"]
        widgets = {name: two_lines() for name in PLAN_FIELDS if name not in SHORT}
        help_texts = {
            "controller": _("One person, and their telephone number."),
            "deputy": _("Who decides if that person is away or hurt."),
            "calls": _("Who makes the call, so that it happens at once."),
            "number": _("Each number becomes a button on a phone."),
            "grid_reference": _("From your own map. We add latitude and longitude."),
            "way_in": _("Which gate, who opens it, who waits at the road."),
            "hospital": _("The nearest with an emergency department. Check it's open."),
            "aed": _("Where it is, and how to open its box."),
            "meeting_point": _("Where everybody is counted."),
            "shelter": _("A solid building or cars; never trees, water or fences."),
            "signal": _("Like three long blasts of a whistle."),
            "no_signal": _("The nearest place where a phone works."),
            "fire": _("What puts it out, and where it is."),
            "water_rescue": _("Where they hang, and who can use them."),
            "machine_stop": _("Which lever or key, and who has it."),
            "lost_child": _(
                "A place that's easy to see. Don't call it “lost children”."
            ),
            "light_failure": _("Where the torches are, and who brings people out."),
            "petrol_l": _("All that's in cans. Leave out vehicle tanks."),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["petrol_l"].widget = forms.TextInput(
            attrs={"inputmode": "decimal", "autocomplete": "off"}
        )
        first = [name for name in PLAN_FIELDS if name not in WHAT_TO_DO]
        what = Fold(PARTS[-1][0], *WHAT_TO_DO)
        self.helper = layout_of(*first, what, Fold(_("Petrol"), "petrol_l"))

    def write(self, *, by: User, now: datetime) -> EmergencyPlan:
        values = self.values() | {"revised_at": now, "revised_by": by}
        return keep_record(row=self.instance, values=values)


class FirstAidPointForm(RecordForm[FirstAidPoint]):
    """Where a first-aid kit is."""

    class Meta:
        model = FirstAidPoint
        fields = ["place", "holds"]
        help_texts = {
            "place": _("Like: on the post at the field gate."),
            "holds": _("Like: first-aid box, eye wash, blankets."),
        }
