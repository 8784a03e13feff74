"""Forms of the treading rota."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django import forms
from django.core import signing
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from heritage.common.by_name import ByName
from heritage.common.forms import RecordForm, ServiceForm
from heritage.common.moments import LocalMoment
from heritage.common.parting import TicksByName
from heritage.dam.models import Ret, RotaPlan, Treader, Treading
from heritage.dam.rota import services
from heritage.dam.rota.selectors import Proposal
from heritage.dam.treading.services import record_treading
from heritage.people.models import User, Volunteer, VolunteerQuerySet

SALT = "dam.rota"
PROPOSAL_LASTS = 60 * 60


class PlanForm(RecordForm[RotaPlan]):
    """How a ret is trodden."""

    class Meta:
        model = RotaPlan
        fields = [
            "first_day",
            "last_day",
            "morning",
            "evening",
            "people",
            "most_turns",
            "in_days",
            "briefing",
            "skill",
        ]
        widgets = {
            "first_day": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
            "last_day": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
            "morning": forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
            "evening": forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
        }
        help_texts = {
            "evening": _("Before sunset: nobody is in the water after it."),
            "briefing": _("For those who tread, and those who watch from the bank."),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        where = self.instance.ret.dam.demonstration
        for name in ("people", "most_turns", "in_days"):
            self.fields[name].widget.attrs["inputmode"] = "numeric"
        self.offer("briefing", where.briefings.order_by("title"))
        self.offer("skill", where.competences.by_title())
        briefings: Any = self.fields["briefing"]
        briefings.empty_label = _("choose the briefing")
        briefings.error_messages["required"] = _(
            "Choose the briefing everybody hears first."
        )
        skills: Any = self.fields["skill"]
        skills.empty_label = _("nothing is asked")

    def clean(self) -> dict[str, Any]:
        """Tell everything at once, what is missing and what does not go together."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        for name, words in services.plan_faults(self.instance.ret, data).items():
            self.add_error(name, words)
        return data

    def write(self, *, by: User, now: datetime) -> RotaPlan:
        return services.plan_treading(
            ret=self.instance.ret, values=self.values(), by=by, now=now
        )


class AnswerForm(ServiceForm):
    """Whether somebody can come to a turn: the button pressed names the turn."""

    who = forms.ModelChoiceField(Volunteer.objects.none())
    can = forms.ModelChoiceField(Treading.objects.none(), required=False)
    cannot = forms.ModelChoiceField(Treading.objects.none(), required=False)

    def __init__(self, *args: Any, ret: Ret, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.offer("who", Volunteer.objects.of(ret.dam.demonstration).active())
        for name in ("can", "cannot"):
            self.offer(name, Treading.objects.of_ret(ret).for_page())

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        if bool(data.get("can")) == bool(data.get("cannot")):
            raise ValidationError(_("Press one of the buttons beside a turn."))
        return data

    @property
    def can_come(self) -> bool:
        return bool(self.cleaned_data["can"])

    @property
    def turn(self) -> Treading:
        turn: Treading = self.cleaned_data["can"] or self.cleaned_data["cannot"]
        return turn

    def write(self, *, by: User, now: datetime) -> Treader:
        who = self.cleaned_data["who"]
        return services.answer(
            turn=self.turn, volunteer=who, can=self.can_come, by=by, now=now
        )


class FindForm(ServiceForm):
    """For whom a lead ticks turns, of those outside their own household."""

    name = ByName(Volunteer.objects.none(), label=_("For somebody else"))

    def __init__(self, *args: Any, others: Sequence[Volunteer], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        known = Volunteer.objects.of_keys([one.pk for one in others])
        self.offer("name", known.by_name())


class HandForm(ServiceForm):
    """Somebody to put on a turn or take off it: what a button beside a name sends."""

    volunteer = forms.ModelChoiceField(Volunteer.objects.none())

    def __init__(self, *args: Any, turn: Treading, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        where = turn.plan.ret.dam.demonstration
        self.offer("volunteer", Volunteer.objects.of(where).active().adults().by_name())


class AskedForm(HandForm):
    """Somebody who was asked, by their name."""

    volunteer = ByName(Volunteer.objects.none(), label=_("Who"))

    def write(self, *, turn: Treading, by: User, now: datetime) -> Treader:
        return services.put_on(turn=turn, by=by, now=now, **self.cleaned_data)


class TroddenForm(RecordForm[Treading]):
    """Who trod, when, and what they saw."""

    people = TicksByName(
        Volunteer.objects.none(),
        label=_("Who trod"),
        error_messages={"required": _("Tick everybody who trod.")},
    )
    watcher = ByName(
        Volunteer.objects.none(),
        label=_("Who watched from the bank"),
        required=False,
        help_text=_(
            "If three swapped over, and one always watched, tick all three and name "
            "one here."
        ),
    )
    trodden_at = LocalMoment(label=_("Trodden at"))

    class Meta:
        model = Treading
        fields = ["trodden_at", "note", "why_alone"]
        labels = {"why_alone": _("One trod alone, or nobody watched? Say how")}
        help_texts = {
            "note": _("What floats, what smells, where stones moved."),
            "why_alone": _("The organisers see this."),
        }

    field_order = ["people", "watcher", "trodden_at", "note", "why_alone"]

    def __init__(self, *args: Any, people: VolunteerQuerySet, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("people", "watcher"):
            self.offer(name, people)

    def write(self, *, by: User, now: datetime) -> Treading:
        return record_treading(turn=self.instance, by=by, now=now, **self.cleaned_data)


class TakeForm(ServiceForm):
    """A rota that was worked out, sealed so that it comes back as it was shown."""

    rota = forms.CharField(widget=forms.HiddenInput, max_length=400_000)

    def __init__(self, *args: Any, ret: Ret, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.ret = ret

    def clean_rota(self) -> list[tuple[int, int, bool]]:
        try:
            sealed = signing.loads(
                self.cleaned_data["rota"], salt=SALT, max_age=PROPOSAL_LASTS
            )
        except signing.BadSignature:
            sealed = {}
        if sealed.get("ret") != self.ret.pk:
            raise ValidationError(_("This rota is out of date. Work it out again."))
        return [(turn, who, watches) for turn, who, watches in sealed["places"]]

    def write(self, *, by: User, now: datetime) -> RotaPlan:
        places = self.cleaned_data["rota"]
        return services.take_rota(ret=self.ret, places=places, by=by, now=now)


def seal_rota(ret: Ret, proposal: Proposal) -> str:
    """Seal a proposal for the form that takes it."""
    rota = {"ret": ret.pk, "places": proposal.places}
    return signing.dumps(rota, salt=SALT, compress=True)
