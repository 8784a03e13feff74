"""The people of a demonstration, with or without an account."""

from datetime import date, datetime
from typing import Any, Self

from django.db import models
from django.db.models import Count, F, Max, Q
from django.db.models.functions import Lower
from django.utils.translation import gettext_lazy as _

from heritage.common.models import (
    OwnedQuerySet,
    Viewer,
    demonstrations_of,
    private_key,
)
from heritage.people.models.accounts import User
from heritage.season.models import Demonstration


class AgeBand(models.TextChoices):
    """How old somebody is, as closely as the rules on stations need."""

    UNDER_13 = "under_13", _("under 13")
    FROM_13 = "from_13", _("13 to 15")
    FROM_16 = "from_16", _("16 or 17")
    ADULT = "adult", _("18 or over")

    @property
    def least_age(self) -> int:
        """The youngest age, in years, that the band holds."""
        return {"under_13": 0, "from_13": 13, "from_16": 16, "adult": 18}[self.value]

    @classmethod
    def of_children(cls) -> list[tuple[str, str]]:
        """Return the bands below 18 with their words, for a list to choose from."""
        return [(band.value, str(band.label)) for band in cls if band != cls.ADULT]

    @classmethod
    def at(cls, years: int) -> "AgeBand":
        """Return the band that holds an age in whole years."""
        return max(
            (band for band in cls if band.least_age <= years),
            key=lambda band: band.least_age,
        )


def _to_come(moment: datetime) -> Q:
    # Gatherings stand above people, so their rows are reached by name alone.
    return Q(
        sign_ups__status__in=["held", "waiting"],
        sign_ups__gathering__status="posted",
        sign_ups__gathering__ends_at__gt=moment,
    )


def last_gathering() -> Max:
    """Say of a volunteer when the last posted gathering ends they signed up for."""
    live = Q(
        sign_ups__status__in=["held", "waiting"], sign_ups__gathering__status="posted"
    )
    return Max("sign_ups__gathering__ends_at", filter=live)


class VolunteerQuerySet(OwnedQuerySet["Volunteer"]):
    def active(self) -> Self:
        return self.filter(left_at__isnull=True)

    def organisers(self) -> Self:
        return self.filter(is_organiser=True)

    def gone(self) -> Self:
        return self.filter(left_at__isnull=False)

    def adults(self) -> Self:
        return self.filter(age_band=AgeBand.ADULT)

    def with_birth_date(self) -> Self:
        return self.filter(born_on__isnull=False)

    def of_keys(self, keys: list[int]) -> Self:
        return self.filter(pk__in=keys)

    def minors(self) -> Self:
        return self.exclude(age_band=AgeBand.ADULT)

    def able_in_first_aid(self, day: date) -> Self:
        """Keep those whose first aid an organiser confirmed, good on a day."""
        current = Q(skills__runs_out_on__isnull=True) | Q(skills__runs_out_on__gte=day)
        return self.filter(
            current,
            skills__competence__is_first_aid=True,
            skills__confirmed_by__isnull=False,
        ).distinct()

    def unmerged(self) -> Self:
        """Keep all but the lines found to be somebody else's on the list."""
        return self.filter(merged_into__isnull=True)

    def standing(self) -> Self:
        """Keep the lines that are somebody's still: neither merged nor erased."""
        return self.unmerged().filter(erased_at__isnull=True)

    def not_erased(self) -> Self:
        return self.filter(erased_at__isnull=True)

    def without_account(self) -> Self:
        return self.filter(user__isnull=True)

    def able_to_sign_in(self) -> Self:
        return self.filter(user__is_active=True)

    def of_account(self, user: User | None) -> Self:
        """Keep the lines of one account, of nobody none."""
        return self.filter(user=user) if user else self.none()

    def of_accounts(self, users: models.QuerySet[Any, Any]) -> Self:
        return self.filter(user__in=users)

    def by_name(self) -> Self:
        return self.order_by("name", "pk")

    def reached_at(self, addresses: list[str]) -> Self:
        """Keep those entered with one of the addresses, in whatever case."""
        lowered = [address.lower() for address in addresses]
        return self.alias(lowered=Lower("email")).filter(lowered__in=lowered)

    def with_places_to_come(self, now: datetime) -> Self:
        """Count for each the places held or waited for at gatherings to come."""
        return self.annotate(
            places_to_come=Count("sign_ups", filter=_to_come(now), distinct=True)
        )

    def last_gathering_of(self, volunteer: "Volunteer") -> datetime | None:
        """Return when the last gathering ends that somebody is signed up for."""
        found: datetime | None = self.filter(pk=volunteer.pk).aggregate(
            last=last_gathering()
        )["last"]
        return found

    def open_to(self, user: Viewer) -> Self:
        """Keep those whose particulars a user may read: own, children's, organised."""
        if not isinstance(user, User):
            return self.none()
        mine = Q(user=user, left_at__isnull=True)
        child = Q(
            guardian__user=user, guardian__left_at__isnull=True, left_at__isnull=True
        )
        keys = demonstrations_of(user, organised=True)
        return self.filter(mine | child | Q(demonstration__in=keys))

    def expected_after(self, moment: datetime) -> Self:
        """Keep those with a place or a turn at a gathering still to end."""
        return self.filter(_to_come(moment)).distinct()

    def leading_after(self, moment: datetime) -> Self:
        """Keep the leads of gatherings that end after the moment."""
        return self.filter(
            led_gatherings__ends_at__gt=moment, led_gatherings__status="posted"
        ).distinct()

    def leading_between(self, start: datetime, end: datetime) -> Self:
        """Keep the leads of gatherings that are on at some time between the two."""
        return self.filter(
            led_gatherings__starts_at__lte=end,
            led_gatherings__ends_at__gte=start,
            led_gatherings__status="posted",
        ).distinct()

    def answered_for_by(self, volunteer: "Volunteer") -> Self:
        """Keep the volunteer and the children they are guardian of."""
        return self.filter(Q(pk=volunteer.pk) | Q(guardian=volunteer))


class Volunteer(models.Model):
    """A person of one demonstration; the account is optional, the person is not."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="volunteers"
    )
    user = models.ForeignKey(
        User, models.PROTECT, null=True, blank=True, related_name="volunteers"
    )
    name = models.CharField(_("name"), max_length=120)
    email = models.EmailField(_("e-mail address"), blank=True)
    phone = models.CharField(_("telephone"), max_length=40, blank=True)
    age_band = models.CharField(
        _("age"), max_length=8, choices=AgeBand, default=AgeBand.ADULT
    )
    born_on = models.DateField(
        _("date of birth"),
        null=True,
        blank=True,
        help_text=_("Asked only where the organiser keeps dates rather than ages."),
    )
    guardian = models.ForeignKey(
        "self",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="children",
        verbose_name=_("guardian"),
        help_text=_("The adult volunteer who answers for somebody under 18."),
    )
    emergency_name = models.CharField(
        _("whom to call in an emergency"), max_length=120, blank=True
    )
    emergency_phone = models.CharField(_("their telephone"), max_length=40, blank=True)
    is_organiser = models.BooleanField(_("organiser"), default=False)
    organiser_since = models.DateTimeField(_("organiser since"), null=True, blank=True)
    joined_at = models.DateTimeField(_("joined at"))
    left_at = models.DateTimeField(_("left at"), null=True, blank=True)
    merged_into = models.ForeignKey(
        "self",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="merged_from",
        verbose_name=_("is the same person as"),
    )
    erased_at = models.DateTimeField(_("erased at"), null=True, blank=True)
    calendar_key = models.CharField(
        max_length=40, unique=True, default=private_key, editable=False
    )

    objects = VolunteerQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["demonstration", "user"],
                condition=Q(user__isnull=False),
                name="volunteer_account_once",
                violation_error_message=_("This account has joined already."),
            ),
            models.CheckConstraint(
                condition=Q(age_band__in=AgeBand.values), name="volunteer_age_known"
            ),
            models.CheckConstraint(
                condition=Q(age_band=AgeBand.ADULT) | Q(guardian__isnull=False),
                name="volunteer_child_has_guardian",
                violation_error_message=_("Somebody under 18 needs a guardian."),
            ),
            models.CheckConstraint(
                condition=~Q(guardian=F("id")),
                name="volunteer_not_own_guardian",
                violation_error_message=_("Nobody is their own guardian."),
            ),
            models.CheckConstraint(
                condition=Q(is_organiser=False)
                | Q(user__isnull=False, age_band=AgeBand.ADULT),
                name="volunteer_organiser_has_account",
                violation_error_message=_("An organiser is an adult with an account."),
            ),
            models.CheckConstraint(
                condition=Q(is_organiser=True, organiser_since__isnull=False)
                | Q(is_organiser=False, organiser_since__isnull=True),
                name="volunteer_organiser_since_made_one",
            ),
            models.CheckConstraint(
                condition=Q(born_on__isnull=True)
                | Q(born_on__gte=date(1900, 1, 1), born_on__lte=F("joined_at")),
                name="volunteer_born_before_joining",
                violation_error_message=_(
                    "A date of birth lies after 1899, and before they joined."
                ),
            ),
            models.CheckConstraint(
                condition=~Q(merged_into=F("id")),
                name="volunteer_not_merged_into_self",
            ),
            models.CheckConstraint(
                condition=Q(left_at__isnull=False)
                | Q(merged_into__isnull=True, erased_at__isnull=True),
                name="volunteer_merged_or_erased_has_left",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def hold_role(self, since: datetime | None) -> None:
        """Make somebody organiser since a moment, or with none organiser no more.

        Whoever holds the role already holds it as long as they did.
        """
        self.organiser_since = since and (self.organiser_since or since)
        self.is_organiser = since is not None

    @property
    def needs_adult(self) -> bool:
        """Whether they go nowhere without the adult who answers for them: under 13."""
        return self.age_band == AgeBand.UNDER_13

    @property
    def age(self) -> AgeBand:
        """The age band as a choice rather than its stored word."""
        return AgeBand(self.age_band)

    def age_on(self, day: date) -> int:
        """Return the age that is sure on a day, in whole years.

        That is the age by the date of birth where it is known, and otherwise the
        youngest that the age band holds.
        """
        if self.born_on is None:
            return self.age.least_age
        before_birthday = (day.month, day.day) < (self.born_on.month, self.born_on.day)
        return max(0, day.year - self.born_on.year - before_birthday)
