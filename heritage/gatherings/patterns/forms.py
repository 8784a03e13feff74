"""A kind of gathering, to be posted from again."""

from typing import Any, cast

from crispy_forms.helper import FormHelper
from django import forms
from django.utils.translation import gettext_lazy as _

from heritage.gatherings.models import Gathering, Pattern
from heritage.gatherings.patterns.services import PatternWords
from heritage.season.models import Stage


class PatternForm(forms.Form):
    """What a pattern says, besides its stations."""

    title = forms.CharField(label=_("Title"), max_length=100)
    stage = forms.ChoiceField(label=_("Stage of the work"), choices=Stage)
    bring = forms.CharField(label=_("What to bring"), max_length=300, required=False)
    note = forms.CharField(
        label=_("About the work"),
        max_length=2000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 4}),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.disable_csrf = True

    def words(self) -> PatternWords:
        """Return what the service is told."""
        names = PatternWords.__annotations__
        return cast(PatternWords, {name: self.cleaned_data[name] for name in names})


def pattern_initial(source: Pattern | Gathering) -> dict[str, Any]:
    """Return what a pattern says, or would say if it were kept of a gathering."""
    return {name: getattr(source, name) for name in PatternWords.__annotations__}
