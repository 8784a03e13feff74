"""The log of a child, as it is typed in haste."""

from datetime import datetime
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from heritage.common.forms import RecordForm, two_lines
from heritage.incidents.children import services
from heritage.incidents.models import ChildMatter, ChildStep, LostChild
from heritage.people.models import User


class ChildForm(RecordForm[LostChild]):
    """What is needed to look for a child; the name may wait."""

    class Meta:
        model = LostChild
        fields = ["matter", "looks", "last_seen", "age", "reporter", "needs", "name"]
        widgets = {"looks": two_lines(), "last_seen": two_lines()}
        help_texts = {
            "reporter": _("And where they are now."),
            "needs": _("What helps the child, what frightens them."),
            "name": _("Never call it out, by voice or loudspeaker."),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["matter"] = forms.ChoiceField(
            label=self.fields["matter"].label,
            choices=ChildMatter,
            widget=forms.RadioSelect,
            error_messages={"required": _("Choose lost or found.")},
        )
        self.fields["name"].widget.attrs["autocomplete"] = "off"

    def write(self, *, by: User, now: datetime) -> LostChild:
        return services.open_child_log(
            demonstration=self.instance.demonstration,
            values=self.values(),
            by=by,
            now=now,
        )


class ChildNoteForm(RecordForm[ChildStep]):
    """A line of the log in one's own words."""

    class Meta:
        model = ChildStep
        fields = ["text"]
        labels = {"text": _("What else was done or seen")}
        widgets = {"text": two_lines()}

    def write(self, *, by: User, now: datetime) -> ChildStep:
        return services.note_of_child(
            log=self.instance.lost_child, by=by, now=now, **self.values()
        )


class EndForm(RecordForm[LostChild]):
    """How it ended, to whom the child went, and who checked."""

    class Meta:
        model = LostChild
        fields = ["outcome", "went_to", "checked_by"]
        widgets = {"outcome": two_lines()}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in self.Meta.fields:
            self.fields[name].required = True

    def write(self, *, by: User, now: datetime) -> LostChild:
        return services.end_child_log(
            log=self.instance, values=self.values(), by=by, now=now
        )
