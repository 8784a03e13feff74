"""Inviting somebody, and saying yes."""

from datetime import datetime
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from heritage.common.forms import RecordForm, ServiceForm
from heritage.people.forms import JoinForm
from heritage.people.invitations import services
from heritage.people.models import Invitation, User, Volunteer

ROLES = [("no", _("as a volunteer")), ("yes", _("as an organiser"))]


class InviteForm(RecordForm[Invitation]):
    """Whom to invite, and as what."""

    as_organiser = forms.TypedChoiceField(
        label=_("Invite them"),
        choices=ROLES,
        coerce="yes".__eq__,
        widget=forms.RadioSelect,
        help_text=_(
            "An organiser sees and changes everything here, other people's details too."
        ),
    )

    class Meta:
        model = Invitation
        fields = ["email", "as_organiser"]
        widgets = {"email": forms.EmailInput(attrs={"autocomplete": "off"})}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial["as_organiser"] = "no"
        # Somebody on paper is given a sheet and has no address.
        self.fields["email"].required = True

    def write(self, *, by: User, now: datetime) -> Invitation:
        here = self.instance.demonstration
        return services.invite(demonstration=here, by=by, now=now, **self.values())


class TakeUpForm(JoinForm):
    """What somebody says about themselves when they take up an invitation."""

    def __init__(self, *args: Any, invitation: Invitation, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.invitation = invitation
        # Where dates of birth are kept the date says it.
        if invitation.as_organiser and "age_band" in self.fields:
            del self.fields["age_band"]
            self.fields["is_adult"] = forms.BooleanField(label=_("I am 18 or over"))

    def values(self) -> dict[str, Any]:
        """Return what was typed, as the service takes it."""
        return {k: v for k, v in super().values().items() if k != "is_adult"}

    def write(self, *, by: User, now: datetime) -> Volunteer:
        return services.take_up(
            invitation=self.invitation, user=by, now=now, **self.values()
        )


class ClaimForm(ServiceForm):
    """The yes of somebody who is on the list: all is known of them."""

    def __init__(self, *args: Any, invitation: Invitation) -> None:
        super().__init__(*args)
        self.invitation = invitation

    def write(self, *, by: User, now: datetime) -> Volunteer:
        return services.take_up(invitation=self.invitation, user=by, now=now)
