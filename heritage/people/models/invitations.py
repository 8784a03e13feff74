"""Invitations: how somebody joins by an address, or takes up their own line."""

from datetime import datetime
from typing import Self

from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from heritage.common.models import ManagedQuerySet, private_key
from heritage.people.models.accounts import User
from heritage.people.models.volunteers import Volunteer
from heritage.season.models import Demonstration


class InvitationQuerySet(ManagedQuerySet["Invitation"]):
    def open(self, now: datetime) -> Self:
        """Keep those that somebody can still take up."""
        return self.filter(
            taken_at__isnull=True, withdrawn_at__isnull=True, expires_at__gt=now
        )

    def ended_before(self, moment: datetime) -> Self:
        """Keep those taken up, withdrawn or run out before a moment."""
        return self.filter(
            Q(taken_at__lt=moment)
            | Q(withdrawn_at__lt=moment)
            | Q(taken_at__isnull=True, expires_at__lt=moment)
        )

    def claims(self) -> Self:
        """Keep those by which somebody on the list takes up their own line."""
        return self.filter(volunteer__isnull=False)

    def to(self, email: str) -> Self:
        """Keep those to one address, in whatever case."""
        return self.filter(email__iexact=email)

    def newest_first(self) -> Self:
        return self.select_related("volunteer").order_by("-made_at", "-pk")


class Invitation(models.Model):
    """A private address by which one account joins, perhaps as somebody on the list.

    With a volunteer it joins the account to that line, with everything that hangs
    on it: so somebody written down on paper makes an account later, and nothing is
    lost and nobody is listed twice.
    """

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="invitations"
    )
    volunteer = models.ForeignKey(
        Volunteer, models.CASCADE, null=True, blank=True, related_name="invitations"
    )
    email = models.EmailField(_("e-mail address"), blank=True)
    as_organiser = models.BooleanField(_("as an organiser"), default=False)
    key = models.CharField(
        max_length=40, unique=True, default=private_key, editable=False
    )
    made_at = models.DateTimeField(_("made at"))
    made_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    expires_at = models.DateTimeField(_("good until"))
    taken_at = models.DateTimeField(_("taken up at"), null=True, blank=True)
    taken_by = models.ForeignKey(
        User, models.PROTECT, null=True, blank=True, related_name="+"
    )
    withdrawn_at = models.DateTimeField(_("withdrawn at"), null=True, blank=True)

    objects = InvitationQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(expires_at__gt=F("made_at")),
                name="invitation_ends_after_it_is_made",
            ),
            models.CheckConstraint(
                condition=Q(taken_at__isnull=True, taken_by__isnull=True)
                | Q(taken_at__isnull=False, taken_by__isnull=False),
                name="invitation_taken_by_somebody",
            ),
            models.CheckConstraint(
                condition=Q(as_organiser=False) | ~Q(email=""),
                name="invitation_organiser_has_address",
                violation_error_message=_(
                    "An organiser is invited by their e-mail address."
                ),
            ),
        ]

    def __str__(self) -> str:
        return self.email or str(self.volunteer_id or self.pk)

    def get_absolute_url(self) -> str:
        return reverse("invitation", args=[self.key])

    def trouble_at(self, now: datetime) -> str:
        """Say in plain words why nobody can take it up, or nothing if they can."""
        if self.taken_at is not None:
            return gettext("This has been taken up; it works once. Sign in instead.")
        if self.withdrawn_at is not None:
            return gettext("The organiser has withdrawn this. Ask them for a new one.")
        if self.expires_at <= now:
            return gettext("This has run out. Ask the organiser for a new one.")
        return ""
