"""Mail about an account: whether it went, and never what it said."""

from collections.abc import Iterable
from datetime import datetime
from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import Exists, OuterRef, Prefetch, Q
from django.utils.translation import gettext_lazy as _

from heritage.people.models.letters import (
    ACTED_ON_WITHIN,
    SENDING_TAKES,
    LetterState,
)
from heritage.people.models.volunteers import Volunteer
from heritage.season.models import Demonstration

ON_THEIR_WAY = [LetterState.QUEUED, LetterState.SENDING]
RETURNED = [LetterState.FAILED, LetterState.BOUNCED]


class AccountLetterQuerySet(models.QuerySet["AccountLetter"]):
    def queued(self) -> Self:
        return self.filter(state=LetterState.QUEUED)

    def sending(self) -> Self:
        return self.filter(state=LetterState.SENDING)

    def due(self, now: datetime) -> Self:
        """Keep those to be tried now."""
        return self.queued().filter(try_at__lte=now).order_by("pk")

    def of_user(self, user: int | None) -> Self:
        return self.filter(user__isnull=False, user=user)

    def out_of_use(self, now: datetime) -> Self:
        """Keep those that would help nobody any more."""
        return self.filter(good_until__lte=now)

    def to_members_of(self, demonstration: Demonstration) -> Self:
        """Keep those to the accounts of people on a list."""
        accounts = demonstration.volunteers.active().values("user")
        return self.filter(user__in=accounts)

    def written_before(self, moment: datetime) -> Self:
        return self.filter(queued_at__lt=moment)

    def astray(self, now: datetime) -> Self:
        """Keep the late ones that did not arrive, and after which none has gone."""
        unknown = Q(state=LetterState.SENDING, try_at__lte=now - SENDING_TAKES)
        later = self.model.objects.filter(
            user=OuterRef("user"), state=LetterState.SENT, pk__gt=OuterRef("pk")
        )
        rows = self.filter(Q(state__in=RETURNED) | unknown)
        return rows.filter(~Exists(later), queued_at__gt=now - ACTED_ON_WITHIN)

    def returned(self) -> Self:
        """Keep those that their address did not take."""
        return self.filter(state__in=RETURNED)

    def with_readers_of(self, demonstration: Demonstration) -> Self:
        """Keep all, each account with who it is on a list, as ``here``."""
        people = Volunteer.objects.of(demonstration).active()
        here = Prefetch("user__volunteers", queryset=people, to_attr="here")
        return self.select_related("user").prefetch_related(here)

    def newest_first(self) -> Self:
        return self.order_by("-queued_at", "-pk")

    def of_messages(self, names: Iterable[str]) -> Self:
        """Keep those that bear one of the names mail servers know them by."""
        return self.filter(message_id__in=list(names))

    def addressed_to(self, address: str) -> Self:
        return self.filter(address__iexact=address)

    def with_subject(self, subject: str) -> Self:
        return self.filter(subject=subject)

    def in_states(self, states: Iterable[str]) -> Self:
        return self.filter(state__in=list(states))

    def tried_since(self, moment: datetime) -> Self:
        return self.filter(try_at__gte=moment)


class AccountLetter(models.Model):
    """One mail about one account; its words go as soon as it has gone or is given up.

    A code to sign in by is nobody else's to read, so no page shows the words.
    """

    user = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.CASCADE,
        null=True,
        blank=True,
        related_name="account_letters",
    )
    key = models.CharField(_("key"), max_length=64, unique=True)
    address = models.EmailField(_("to"))
    subject = models.CharField(_("subject"), max_length=200)
    text = models.TextField(_("words, until it has gone"), blank=True)
    state = models.CharField(
        _("state"), max_length=9, choices=LetterState, default=LetterState.QUEUED
    )
    attempts = models.PositiveSmallIntegerField(_("attempts"), default=0)
    queued_at = models.DateTimeField(_("written at"))
    try_at = models.DateTimeField(_("to be tried at"))
    good_until = models.DateTimeField(_("of use until"))
    sent_at = models.DateTimeField(_("sent at"), null=True, blank=True)
    message_id = models.CharField(_("message id"), max_length=200, blank=True)
    trouble = models.CharField(_("what went wrong"), max_length=300, blank=True)

    objects = AccountLetterQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    state__in=[
                        *ON_THEIR_WAY,
                        *RETURNED,
                        LetterState.SENT,
                        LetterState.TOLD,
                    ]
                ),
                name="accountletter_state_known",
            ),
            models.CheckConstraint(
                condition=Q(text="") | Q(state__in=ON_THEIR_WAY),
                name="accountletter_words_go_with_it",
            ),
        ]
        indexes = [
            models.Index(fields=["state", "try_at"], name="accountletter_due"),
            models.Index(fields=["message_id"], name="accountletter_by_message_id"),
        ]

    def __str__(self) -> str:
        return self.subject

    @property
    def stands(self) -> LetterState:
        """The state as a choice rather than its stored word."""
        return LetterState(self.state)

    def is_on_its_way(self, now: datetime) -> bool:
        """Tell whether it is being handed to the mail server at this moment."""
        half_way = self.state == LetterState.SENDING
        return half_way and self.try_at > now - SENDING_TAKES
