"""Letters: every mail to somebody, whether it went, and if not why."""

from collections.abc import Iterable
from datetime import datetime, timedelta
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
    TOLD = "told", _("told in person")


# What needs somebody's eye. A letter half-way is added once it is so for too long.
TROUBLED = [LetterState.FAILED, LetterState.BOUNCED, LetterState.NO_ADDRESS]
# Handing over takes seconds; after this it is not known whether it was done.
SENDING_TAKES = timedelta(minutes=10)
ACTED_ON_WITHIN = timedelta(days=30)


class LetterQuerySet(ManagedQuerySet["Letter"]):
    def newest_first(self) -> Self:
        return self.order_by("-queued_at", "-pk")

    def due(self, now: datetime) -> Self:
        """Keep those to be tried now."""
        return self.filter(state=LetterState.QUEUED, try_at__lte=now).order_by("pk")

    def trouble(self, now: datetime) -> Self:
        """Keep those that somebody has to look at."""
        unknown = Q(state=LetterState.SENDING, try_at__lte=now - SENDING_TAKES)
        return self.filter(Q(state__in=TROUBLED) | unknown)

    def recent(self, now: datetime) -> Self:
        """Keep those written lately enough for anybody to act on."""
        return self.filter(queued_at__gt=now - ACTED_ON_WITHIN)

    def written_since(self, moment: datetime) -> Self:
        return self.filter(queued_at__gte=moment)

    def of_somebody(self) -> Self:
        """Keep those to people on the list."""
        return self.filter(volunteer__isnull=False)

    def returned(self) -> Self:
        """Keep those that their address did not take."""
        return self.filter(state__in=[LetterState.FAILED, LetterState.BOUNCED])

    def queued(self) -> Self:
        return self.filter(state=LetterState.QUEUED)

    def sending(self) -> Self:
        return self.filter(state=LetterState.SENDING)

    def unsent(self) -> Self:
        """Keep those that have not gone, and of which that is known."""
        return self.filter(
            state__in=[
                LetterState.QUEUED,
                LetterState.FAILED,
                LetterState.NO_ADDRESS,
            ]
        )

    def on(self, about: str) -> Self:
        """Keep those about one matter, be it among others."""
        return self.filter(Q(about=about) | Q(also__contains=f"\n{about}\n"))

    def on_any(self, matters: Iterable[str]) -> Self:
        """Keep those whose first matter is among some."""
        return self.filter(about__in=list(matters))

    def of_keys(self, keys: Iterable[int]) -> Self:
        return self.filter(pk__in=list(keys))

    def before(self, letter: "Letter") -> Self:
        """Keep those that were written earlier."""
        return self.filter(pk__lt=letter.pk)

    def to(self, people: Iterable[Volunteer]) -> Self:
        return self.filter(volunteer__in=list(people))

    def of_messages(self, names: Iterable[str]) -> Self:
        """Keep those that bear one of the names mail servers know them by."""
        return self.filter(message_id__in=list(names))

    def addressed_to(self, address: str) -> Self:
        return self.filter(address__iexact=address)

    def with_subject(self, subject: str) -> Self:
        return self.filter(subject=subject)

    def tried_since(self, moment: datetime) -> Self:
        return self.filter(try_at__gte=moment)

    def in_states(self, states: Iterable[str]) -> Self:
        return self.filter(state__in=list(states))

    def with_reader(self) -> Self:
        """Keep all, with where their readers are reached."""
        return self.select_related(
            "demonstration", "volunteer__user", "volunteer__guardian__user"
        )

    def keyed(self, start: str) -> Self:
        """Keep those whose key begins so."""
        return self.filter(key__startswith=start)


class Letter(models.Model):
    """One mail to one address, written once for its key and sent at most once."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="letters"
    )
    volunteer = models.ForeignKey(
        Volunteer, models.SET_NULL, null=True, blank=True, related_name="letters"
    )
    key = models.CharField(_("key"), max_length=120)
    about = models.CharField(_("about"), max_length=60, blank=True)
    # Where it is about several matters, the others: each on a line between breaks.
    also = models.TextField(_("also about"), blank=True)
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
                | Q(
                    state__in=[
                        LetterState.NO_ADDRESS,
                        LetterState.OVERTAKEN,
                        LetterState.TOLD,
                    ]
                ),
                name="letter_goes_somewhere",
            ),
        ]
        indexes = [
            models.Index(fields=["state", "try_at"], name="letter_due"),
            models.Index(fields=["message_id"], name="letter_by_message_id"),
            models.Index(fields=["demonstration", "about"], name="letter_by_matter"),
        ]

    def __str__(self) -> str:
        return self.subject

    @property
    def matters(self) -> frozenset[str]:
        """All that it is about."""
        return frozenset({self.about, *self.also.split("\n")} - {""})

    @property
    def stands(self) -> LetterState:
        """The state as a choice rather than its stored word."""
        return LetterState(self.state)

    def is_unknown(self, now: datetime) -> bool:
        """Tell whether it was being sent, and nobody knows if it went."""
        half_way = self.state == LetterState.SENDING
        return half_way and self.try_at <= now - SENDING_TAKES

    def is_on_its_way(self, now: datetime) -> bool:
        """Tell whether it is being handed to the mail server at this moment."""
        half_way = self.state == LetterState.SENDING
        return half_way and self.try_at > now - SENDING_TAKES
