"""The button that posts what is proposed."""

from datetime import date, datetime
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from heritage.desk.harvest import services
from heritage.gatherings.ground.forms import ButtonForm
from heritage.gatherings.models import Gathering
from heritage.season.models import Demonstration, Stage

PROPOSED = (Stage.PULLING, Stage.CARTING)
OUT_OF_DATE = _("This page was out of date. Check the plan again, then post.")


class PostForm(ButtonForm):
    """One evening of the plan, as its button names it."""

    stage = forms.ChoiceField(
        choices=[
            (stage.value, stage.label) for stage in (Stage.PULLING, Stage.CARTING)
        ],
        error_messages={"required": OUT_OF_DATE, "invalid_choice": OUT_OF_DATE},
    )
    evening = forms.CharField(max_length=40, error_messages={"required": OUT_OF_DATE})

    def clean_evening(self) -> str:
        """Keep the evening as the page named it, and read its day."""
        key: str = self.cleaned_data["evening"]
        try:
            self.day = date.fromisoformat(key.split("/")[0])
        except ValueError as error:
            raise forms.ValidationError(OUT_OF_DATE) from error
        return key

    def write(self, *, demonstration: Demonstration, now: datetime) -> Gathering:
        typed: dict[str, Any] = self.cleaned_data
        return services.post_proposed(
            demonstration=demonstration,
            stage=typed["stage"],
            day=self.day,
            key=typed["evening"],
            now=now,
        )
