"""Words to publish, to agree to, and the note that is kept under them."""

from datetime import datetime
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from heritage.common.forms import RecordForm, ServiceForm
from heritage.people.agreements import services
from heritage.people.agreements.selectors import AboutPage, Words
from heritage.people.models import Agreement, HealthNote, User, Wording


class WordingForm(RecordForm[Wording]):
    """New words on a subject."""

    class Meta:
        model = Wording
        fields = ["text"]
        labels = {"text": _("The words that people read")}
        widgets = {"text": forms.Textarea(attrs={"rows": 12})}
        help_texts = {
            "text": _(
                "Short sentences, and no more than one thing to agree to. An empty "
                "line begins a new paragraph."
            )
        }

    def write(self, *, by: User, now: datetime) -> Wording:
        return services.publish_wording(
            demonstration=self.instance.demonstration,
            subject=self.instance.subject,
            by=by,
            now=now,
            **self.values(),
        )


class AgreeForm(ServiceForm):
    """One box, unticked, under one version of some words.

    An organiser ticks it for somebody who signed the words on paper.
    """

    agree = _("I agree to this.")

    number = forms.IntegerField(widget=forms.HiddenInput)
    agreed = forms.BooleanField(
        error_messages={"required": _("Tick the box if you agree. You don't have to.")}
    )

    def __init__(
        self, *args: Any, page: AboutPage, words: Words, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.page, self.words = page, words
        signed = _("They have signed these words on paper.")
        self.fields["agreed"].label = self.agree if page.is_answering else signed
        self.fields["number"].initial = words.number

    def submit(self, **given: Any) -> bool:
        """Where other words were read than hold now, ask again with an empty box."""
        is_done = super().submit(**given)
        if "number" in self.errors:
            self._ask_again()
        return is_done

    def write(self, *, by: User, now: datetime) -> Agreement | HealthNote:
        own = self.page.is_answering
        service = services.agree if own else services.agree_on_paper
        return service(
            volunteer=self.page.volunteer,
            subject=self.words.subject,
            number=self.cleaned_data["number"],
            by=by,
            now=now,
        )

    def _ask_again(self) -> None:
        self.add_error(None, self.errors.pop("number").as_data())
        typed: Any = self.data
        typed = typed.copy()
        typed["number"] = str(self.words.number)
        typed.pop("agreed", None)
        self.data = typed


class NoteForm(AgreeForm):
    """A note on health and access, with the agreement that it is kept."""

    agree = _("I agree that this note is kept.")

    text = forms.CharField(
        label=_("Health and access"),
        max_length=600,
        widget=forms.Textarea(attrs={"rows": 4, "autocomplete": "off"}),
        help_text=_(
            "What a first-aider should know: an allergy, an inhaler and where it is, a "
            "step that cannot be climbed."
        ),
    )
    field_order = ["text", "agreed", "number"]

    def __init__(self, *args: Any, page: AboutPage, **kwargs: Any) -> None:
        super().__init__(*args, page=page, words=page.health.words, **kwargs)
        self.fields["text"].initial = page.note.text if page.note else ""

    def write(self, *, by: User, now: datetime) -> HealthNote:
        return services.keep_health_note(
            volunteer=self.page.volunteer,
            text=self.cleaned_data["text"],
            number=self.cleaned_data["number"],
            by=by,
            now=now,
        )
