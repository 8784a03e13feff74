"""The form of a session."""

import uuid
from datetime import datetime
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from heritage.common.moments import LocalMoment
from heritage.fibre.forms import BeetsForm, Kilograms, Moisture
from heritage.fibre.models import Session, Work
from heritage.fibre.work import services
from heritage.fibre.work.selectors import WorkPage
from heritage.fibre.work.services import Opened, Out
from heritage.fibre.work.words import ONWARD_WORDS
from heritage.lots.words import kilograms
from heritage.people.models import User
from heritage.season.models import Demonstration

ABOUT = ("began_at", "ended_at", "where", "people", "note")
WEIGHED = ("onward_g", "tow_g", "shive_g", "left_g")


class SessionForm(BeetsForm):
    """A session: what was worked, and what came out by weight."""

    weighed_g = Kilograms(
        label=_("These beets weighed together, kg"),
        required=False,
        help_text=_("Before the brake."),
    )
    in_moisture_pct = Moisture(
        required=False,
        label=_("Moisture of the straw, %"),
        help_text=_("Empty counts as 12."),
    )
    onward_g = Kilograms(required=False)
    tow_g = Kilograms(label=_("Tow, kg"), required=False)
    shive_g = Kilograms(
        label=_("Shive, kg"), required=False, help_text=_("If you swept it.")
    )
    left_g = Kilograms(
        label=_("Not worked yet, kg"),
        required=False,
        help_text=_("What's left for another day."),
    )
    out_moisture_pct = Moisture(
        required=False,
        label=_("Moisture of what came out, %"),
        help_text=_("Empty counts as 12."),
    )
    began_at = LocalMoment(label=_("Began at"))
    ended_at = LocalMoment(label=_("Ended at"))
    people = forms.IntegerField(
        label=_("People who worked"), min_value=1, max_value=200, required=False
    )
    where = forms.CharField(label=_("Where"), max_length=120, required=False)
    note = forms.CharField(label=_("Note"), max_length=300, required=False)
    sure = forms.BooleanField(label=_("I've checked: it's right"), required=False)
    key = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)

    field_of = {"moisture_pct": "out_moisture_pct", "dry_g": "onward_g"}
    seldom = (
        "in_moisture_pct", "left_g", "out_moisture_pct", "people", "where", "note",
    )  # fmt: skip
    seldom_words = _("More options")

    def __init__(self, *args: Any, page: WorkPage, **kwargs: Any) -> None:
        super().__init__(*args, lots=page.store, takes_all=False, **kwargs)
        self.page = page
        self.fields["onward_g"].label = (
            _("%s, kg") % str(ONWARD_WORDS[page.work]).capitalize()
        )
        if page.there:
            label = _("What's there already") if page.store else _("What was worked")
            self.there = {str(one.lot.pk): one.lot for one in page.there}
            words = _("%(lot)s: %(kg)s kg dry, all of it")
            self.fields["there"] = forms.MultipleChoiceField(
                label=label,
                required=False,
                initial=list(self.there) if len(self.there) == 1 else [],
                widget=forms.CheckboxSelectMultiple,
                choices=[
                    (one.lot.pk, words % {"lot": one.lot, "kg": kilograms(one.dry_g)})
                    for one in page.there
                ],
            )
        if not self.lots:
            del self.fields["weighed_g"], self.fields["in_moisture_pct"]
        if page.work == Work.HACKLING:
            del self.fields["shive_g"]
        self.order_fields(["there", *self.lots])

    def write(
        self, *, demonstration: Demonstration, by: User, now: datetime
    ) -> Session:
        said = self.cleaned_data
        return services.hold_session(
            demonstration=demonstration,
            work=self.page.work,
            opened=Opened(
                self.beets(), said.get("weighed_g"), said.get("in_moisture_pct")
            ),
            lots=[self.there[key] for key in said.get("there") or []],
            out=Out(
                **{name: said.get(name) for name in WEIGHED},
                moisture_pct=said["out_moisture_pct"],
            ),
            by=by,
            now=now,
            sure=said.get("sure", False),
            key=said["key"],
            **{name: said[name] for name in ABOUT},
        )

    def ask_only_if_asked(self) -> None:
        """Leave the tick out unless there was a question, or it was given."""
        asked = self.errors.pop("sure", None)
        if asked:
            self.add_error("weighed_g", asked.as_data())
        elif not self.data.get("sure"):
            del self.fields["sure"]
