"""Letters: every mail to somebody, whether it went, and if not why."""

from datetime import datetime
from typing import Self

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from heritage.common.models import ManagedQuerySet
from heritage.people.models.volunteers import Volunteer
from heritage.season.models import Demonstration


class LetterState(models.TextChoices):
    """Where a letter stands."""

    QUEUED = "queued", _("waiting to be sent")
    SENDING = "sending", _("being sent")
    SENT = "sent", _("handed to the mail server")
    FAILED = "failed", _("not sent")
    BOUNCED = "bounced", _("came back")
    NO_ADDRESS = "nowhere", _("no address: tell them yourself")
    OVERTAKEN = "overtaken", _("not sent: overtaken by a later change")


class LetterQuerySet(ManagedQuerySet["Letter"]):
    def newest_first(self) -> Self:
        return self.select_related("volunteer").order_by("-queued_at", "-pk")

    def due(self, now: datetime) -> Self:
        """Keep those to be tried now."""
        return self.filter(state=LetterState.QUEUED, try_at__lte=now).order_by("pk")

    def trouble(self) -> Self:
        """Keep those that somebody has to look at."""
        return self.filter(
            state__in=[
                LetterState.FAILED,
                LetterState.BOUNCED,
                LetterState.NO_ADDRESS,
                LetterState.SENDING,
            ]
        )


class Letter(models.Model):
    """One mail to one address, written once for its key and sent at most once."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="letters"
    )
    volunteer = models.ForeignKey(
        Volunteer, models.SET_NULL, null=True, blank=True, related_name="letters"
    )
    key = models.CharField(_("key"), max_length=120)
    address = models.EmailField(_("to"), blank=True)
    subject = models.CharField(_("subject"), max_length=200)
    text = models.TextField(_("words"))
    html = models.TextField(_("words, laid out"), blank=True)
    parts = models.JSONField(_("parts"), default=list, blank=True)
    state = models.CharField(
        _("state"), max_length=9, choices=LetterState, default=LetterState.QUEUED
    )
    attempts = models.PositiveSmallIntegerField(_("attempts"), default=0)
    queued_at = models.DateTimeField(_("written at"))
    try_at = models.DateTimeField(_("to be tried at"))
    sent_at = models.DateTimeField(_("sent at"), null=True, blank=True)
    message_id = models.CharField(_("message id"), max_length=200, blank=True)
    trouble = models.CharField(_("what went wrong"), max_length=300, blank=True)

    objects = LetterQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["demonstration", "key"],
                name="letter_key_once",
                violation_error_message=_("This letter has been written already."),
            ),
            models.CheckConstraint(
                condition=Q(state__in=LetterState.values), name="letter_state_known"
            ),
            models.CheckConstraint(
                condition=~Q(address="")
                | Q(state__in=[LetterState.NO_ADDRESS, LetterState.OVERTAKEN]),
                name="letter_goes_somewhere",
            ),
        ]
        indexes = [models.Index(fields=["state", "try_at"], name="letter_due")]

    def __str__(self) -> str:
        return self.subject
