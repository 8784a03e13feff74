"""What is held of somebody only as long as it is needed, and read only by few."""

from collections.abc import Iterable
from datetime import date, datetime
from typing import Self

from django.db import models
from django.db.models import F, OuterRef, Q, Subquery
from django.utils.translation import gettext_lazy as _

from heritage.common.models import OwnedQuerySet, Row, Viewer, demonstrations_of
from heritage.people.models.accounts import User
from heritage.people.models.volunteers import Volunteer, last_gathering


class PersonalQuerySet(OwnedQuerySet[Row]):
    """Rows about one person, for themselves, their guardian and the organisers."""

    demonstration_path = "volunteer__demonstration"

    def visible_to(self, user: Viewer) -> Self:
        """Keep those about the user and their children, and an organiser's all."""
        if not isinstance(user, User):
            return self.none()
        mine = Q(volunteer__user=user, volunteer__left_at__isnull=True)
        child = Q(
            volunteer__guardian__user=user, volunteer__guardian__left_at__isnull=True
        )
        keys = demonstrations_of(user, organised=True)
        return self.filter(mine | child | Q(volunteer__demonstration__in=keys))


class HealthNoteQuerySet(PersonalQuerySet["HealthNote"]):
    def due(self, day: date) -> Self:
        """Keep those whose day to be deleted has come."""
        return self.filter(delete_on__lte=day)

    def readable(self, day: date) -> Self:
        """Keep those whose day to be deleted has not come."""
        return self.filter(delete_on__gt=day)

    def with_last_gathering(self) -> Self:
        """Say of each when the last gathering ends that its person is signed up for.

        Gatherings stand above people, so their rows are reached by name alone, and
        one query looks at each note, so that the rows can be locked.
        """
        people = Volunteer.objects.filter(pk=OuterRef("volunteer"))
        last = people.annotate(last=last_gathering()).values("last")
        rows = self.annotate(last_gathering_at=Subquery(last))
        return rows.select_related("volunteer__demonstration").order_by("pk")

    def about(self, people: Iterable[int]) -> Self:
        """Keep those about some people, who are named by their keys."""
        return self.filter(volunteer__in=list(people))


class HealthNote(models.Model):
    """What a first-aider should know: given freely, and deleted on its day."""

    volunteer = models.OneToOneField(
        Volunteer, models.CASCADE, related_name="health_note"
    )
    text = models.CharField(
        _("health and access"),
        max_length=600,
        help_text=_(
            "Only if you wish: an allergy, an inhaler, a step you cannot climb. Only "
            "the organisers and the day's first-aider read it."
        ),
    )
    agreed_at = models.DateTimeField(_("given at"))
    agreed_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    delete_on = models.DateField(_("is deleted on"))

    # Filled in by `with_last_gathering` alone.
    last_gathering_at: datetime | None

    objects = HealthNoteQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=~Q(text=""),
                name="health_note_says_something",
                violation_error_message=_("Write something, or take the note back."),
            ),
            models.CheckConstraint(
                condition=Q(delete_on__gte=F("agreed_at")),
                name="health_note_ends_after_it_is_given",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.volunteer_id}"


class Subject(models.TextChoices):
    """What words somebody is asked to agree to, or is told."""

    NOTICE = "notice", _("what is held about you, and why")
    PHOTOGRAPH = "photograph", _("being shown in photographs")
    HEALTH = "health", _("keeping a note on health and access")


class WordingQuerySet(OwnedQuerySet["Wording"]):
    def on(self, subject: str) -> Self:
        return self.filter(subject=subject).order_by("-number")

    def oldest_first(self) -> Self:
        return self.order_by("subject", "number")


class Wording(models.Model):
    """The words on one subject as they were put to people: numbered, never changed."""

    demonstration = models.ForeignKey(
        "season.Demonstration", models.PROTECT, related_name="wordings"
    )
    subject = models.CharField(_("about"), max_length=10, choices=Subject)
    number = models.PositiveIntegerField(_("version"))
    text = models.TextField(_("words"), max_length=3000)
    published_at = models.DateTimeField(_("published at"))

    objects = WordingQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["demonstration", "subject", "number"],
                name="wording_version_once",
            ),
            models.CheckConstraint(
                condition=Q(subject__in=Subject.values, number__gte=1),
                name="wording_known",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_subject_display()} v{self.number}"


class AgreedHow(models.TextChoices):
    """How somebody agreed."""

    SCREEN = "screen", _("on a screen")
    PAPER = "paper", _("signed on paper")


class AgreementQuerySet(PersonalQuerySet["Agreement"]):
    def standing(self) -> Self:
        """Keep those not withdrawn."""
        return self.filter(withdrawn_at__isnull=True)

    def on(self, subject: str) -> Self:
        return self.filter(wording__subject=subject)

    def by_any(self, people: list[int]) -> Self:
        """Keep what those volunteers agreed to, who are named by their keys."""
        return self.filter(volunteer__in=people)

    def newest_first(self) -> Self:
        return self.select_related("wording").order_by("-given_at", "-pk")


class Agreement(models.Model):
    """That somebody agreed to one version of some words; withdrawn as easily."""

    volunteer = models.ForeignKey(Volunteer, models.CASCADE, related_name="agreements")
    wording = models.ForeignKey(Wording, models.PROTECT, related_name="agreements")
    given_at = models.DateTimeField(_("given at"))
    given_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    how = models.CharField(_("how"), max_length=6, choices=AgreedHow)
    withdrawn_at = models.DateTimeField(_("withdrawn at"), null=True, blank=True)
    withdrawn_by = models.ForeignKey(
        User, models.PROTECT, null=True, blank=True, related_name="+"
    )

    objects = AgreementQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["volunteer", "wording"],
                condition=Q(withdrawn_at__isnull=True),
                name="agreement_standing_once",
                violation_error_message=_("They have agreed to these words already."),
            ),
            models.CheckConstraint(
                condition=Q(how__in=AgreedHow.values), name="agreement_how_known"
            ),
            models.CheckConstraint(
                condition=Q(withdrawn_at__isnull=True, withdrawn_by__isnull=True)
                | Q(withdrawn_at__isnull=False, withdrawn_by__isnull=False),
                name="agreement_withdrawn_by_somebody",
            ),
            models.CheckConstraint(
                condition=Q(withdrawn_at__isnull=True)
                | Q(withdrawn_at__gte=F("given_at")),
                name="agreement_ends_after_it_is_given",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.volunteer_id}: {self.wording_id}"

    def stood_at(self, moment: datetime) -> bool:
        """Tell whether the agreement held at a moment."""
        ended = self.withdrawn_at
        return self.given_at <= moment and (ended is None or moment < ended)
