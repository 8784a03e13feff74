"""What is written down of people: accounts, volunteers, what they agreed to, letters.

A role is one row and no table: a volunteer's row carries `is_organiser`. One query
tells what somebody is, and taking the role away holds from the next request.
"""

from collections.abc import Iterable
from datetime import date, datetime, timedelta
from typing import Any, Self

from django.conf import settings
from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.contrib.auth.models import PermissionsMixin
from django.db import models
from django.db.models import Count, Exists, F, OuterRef, Prefetch, Q, Subquery
from django.db.models.functions import Coalesce, Lower
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from heritage.common.models import (
    ManagedQuerySet,
    OwnedQuerySet,
    Row,
    Viewer,
    demonstrations_of,
    private_key,
)
from heritage.common.privacy import (
    ANOTHERS,
    AS_HEARD,
    KEY,
    MADE,
    OWN,
    About,
    Counted,
    Deleted,
    Emptied,
    FreeWords,
    Holds,
    Kept,
    Meets,
    Merged,
    Stays,
    Untold,
)
from heritage.common.questions import Question
from heritage.season.models import Demonstration

# Why a letter's text is not searched for names.
BY_SERVER = "What a mail server answered."
TO_OWNER = "Our own words to its owner."


class UserManager(BaseUserManager["User"]):
    def create_user(
        self, email: str, password: str | None = None, **fields: Any
    ) -> "User":
        user = self.model(email=self.normalize_email(email), **fields)
        user.set_password(password)
        user.save(using=self._db)
        return user

    def create_superuser(
        self, email: str, password: str | None = None, **fields: Any
    ) -> "User":
        fields |= {"is_staff": True, "is_superuser": True}
        return self.create_user(email, password, **fields)


class User(AbstractBaseUser, PermissionsMixin):
    """An account: somebody who can sign in, at any number of demonstrations."""

    email = models.EmailField(_("e-mail address"), unique=True)
    name = models.CharField(_("name"), max_length=120, blank=True)
    is_staff = models.BooleanField(_("runs the site"), default=False)
    is_active = models.BooleanField(_("may sign in"), default=True)
    # The pages, by the name of their address, whose first hint was put away.
    hints_read = models.JSONField(_("hints read"), default=list, blank=True)

    objects = UserManager()

    USERNAME_FIELD = "email"
    EMAIL_FIELD = "email"
    REQUIRED_FIELDS = []

    class Meta:
        constraints = [
            models.UniqueConstraint(
                Lower("email"),
                name="user_email_once",
                violation_error_message=_(
                    "There is already an account with this address."
                ),
            )
        ]

    class Privacy(Holds):
        pk = About(
            "account", _("Account"), _("To let you sign in."),
            "email name last_login is_active is_staff",
            erased=Emptied(),
        )  # fmt: skip
        labels = {"last_login": _("last signed in")}
        unsearched = {
            "password": KEY,
            "name": OWN,
            "hints_read": "Names of our own pages.",
        }
        not_given = (
            "An account is its owner's; the line on the list holds what is needed here."
        )

    def __str__(self) -> str:
        return self.name or self.email

    def demonstration_keys(self, *, organised: bool = False) -> Any:
        """Return the keys of the demonstrations this account belongs to."""
        if self.is_staff:
            return Demonstration.objects.values("pk")
        rows = self.volunteers.active()
        if organised:
            rows = rows.organisers()
        return rows.values("demonstration")


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


# Gatherings stand above people and answer. Each place has its `volunteer` and when
# its gathering `ends_at`; each gathering a `demonstration`, `lead`, `starts_at`,
# `ends_at`.
posted_places = Question[[], "models.QuerySet[Any, Any]"](
    "the places held or waited for at posted gatherings"
)
posted_gatherings = Question[[], "models.QuerySet[Any, Any]"]("the posted gatherings")
decisions_on = Question[["Volunteer"], "Iterable[models.Model]"](
    "what holds of the decisions on one young person and machine work, newest first"
)
my_part = Question[["Volunteer", datetime], object](
    "somebody's next evening, what they pulled, and where it is"
)
gathering_alone = Question[["Volunteer", datetime], str | None](
    "the first gathering to come where a child under 13 has a place and no adult beside"
)


class VolunteerQuerySet(OwnedQuerySet["Volunteer"]):
    def active(self) -> Self:
        return self.filter(left_at__isnull=True)

    def organisers(self) -> Self:
        return self.filter(is_organiser=True)

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

    def with_marks(self) -> Self:
        """Keep all, with what tells apart those of one name."""
        return self.select_related("guardian")

    def with_places_to_come(self, now: datetime) -> Self:
        """Count for each the places held or waited for at gatherings to come."""
        theirs = posted_places().filter(volunteer=OuterRef("pk"), ends_at__gt=now)
        count = theirs.order_by().values("volunteer").annotate(count=Count("pk"))
        return self.annotate(
            places_to_come=Coalesce(Subquery(count.values("count")), 0)
        )

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
        places = posted_places().filter(ends_at__gt=moment)
        return self.filter(pk__in=places.values("volunteer"))

    def leading_after(self, moment: datetime) -> Self:
        """Keep the leads of gatherings that end after the moment."""
        led = posted_gatherings().filter(ends_at__gt=moment)
        return self.filter(pk__in=led.values("lead"))

    def leading_between(self, start: datetime, end: datetime) -> Self:
        """Keep the leads of gatherings that are on at some time between the two."""
        led = posted_gatherings().filter(starts_at__lte=end, ends_at__gte=start)
        return self.filter(pk__in=led.values("lead"))

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
        _("emergency contact"), max_length=120, blank=True
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
    erased_at = models.DateTimeField(_("deleted at"), null=True, blank=True)
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
                violation_error_message=_("This account has already joined."),
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
                violation_error_message=_("Choose somebody else as guardian."),
            ),
            models.CheckConstraint(
                condition=Q(is_organiser=False)
                | Q(user__isnull=False, age_band=AgeBand.ADULT),
                name="volunteer_organiser_has_account",
                violation_error_message=_(
                    "Only an adult with an account can be an organiser."
                ),
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
                    "Enter a date of birth after 1899 and before they joined."
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

    class Privacy(Holds):
        pk = About(
            "details", _("Details"),
            _("To reach you about a gathering, and to keep the rules on young people."),
            "name email phone age=age_band born_on guardian__name emergency_name "
            "emergency_phone is_organiser organiser_since joined_at left_at erased_at",
            erased=Emptied(),
        )  # fmt: skip
        guardian = About(
            "children", _("Children you answer for"),
            _(
                "So that you can sign them up. What is held of each has a page of its "
                "own."
            ),
            "name age=age_band",
            erased=Stays(),
        )  # fmt: skip
        user = Untold("It is the account, which has a part of its own.")
        merged_into = Untold("Merged lines are read together with the kept one.")
        called = _("children, and lines merged before")
        words = FreeWords(
            _("whom somebody else would have called"), "people:about", stays=ANOTHERS
        )
        unsearched = {"name": OWN, "phone": OWN, "emergency_phone": OWN}

    def __str__(self) -> str:
        return self.name

    def marks(self) -> tuple[str, str]:
        """Return what may tell somebody from others of the same name."""
        joined = date_format(timezone.localtime(self.joined_at), "j M Y")
        if self.guardian is None:
            beside = str(self.get_age_band_display())
        else:
            beside = gettext("with %s") % self.guardian
        return beside, gettext("joined %s") % joined

    def hold_role(self, since: datetime | None) -> None:
        """Make somebody organiser since a moment, or with none organiser no more.

        Somebody who holds the role already holds it as long as they did.
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
    def readable(self, day: date) -> Self:
        """Keep those whose day to be deleted has not come."""
        return self.filter(delete_on__gt=day)

    def with_last_gathering(self) -> Self:
        """Say of each when the last gathering ends that its person is signed up for.

        One query looks at each note, so that the rows can be locked.
        """
        theirs = posted_places().filter(volunteer=OuterRef("volunteer"))
        last = theirs.order_by("-ends_at").values("ends_at")[:1]
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
                violation_error_message=_("Write something, or delete the note."),
            ),
            models.CheckConstraint(
                condition=Q(delete_on__gte=F("agreed_at")),
                name="health_note_ends_after_it_is_given",
            ),
        ]

    class Privacy(Holds):
        volunteer = About(
            "health_note", _("Health note"),
            _("Because you agreed, for the day's first-aider. Deleted on its day."),
            "text agreed_at delete_on",
            erased=Deleted(_("health note")), merged=Merged.OWN_WAY,
        )  # fmt: skip
        agreed_by = Counted(_("health notes given"), "agreed_at")
        labels = {"text": _("note")}
        words = FreeWords(
            _("somebody else's health note"), "people:about", ["volunteer"], ANOTHERS
        )
        rules = [Kept("health", "delete_on__lte")]
        apart = "health"

    def __str__(self) -> str:
        return f"{self.volunteer_id}"


class Subject(models.TextChoices):
    """What words somebody is asked to agree to, or is told."""

    NOTICE = "notice", _("what we keep about you, and why")
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

    class Privacy(Holds):
        words = FreeWords(_("words to agree to"), "people:words", [], AS_HEARD)

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
                violation_error_message=_("They have already agreed to these words."),
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

    class Privacy(Holds):
        called = _("agreements")
        volunteer = About(
            "agreements", _("What you were told or agreed to"),
            _("To show which words you read, and to let you take them back."),
            "about=wording__subject version=wording__number words=wording__text "
            "given_at how withdrawn_at",
            erased=Deleted(),
            merged=Meets("wording", _("Both agreed to %s: the first time stays.")),
            order="given_at",
        )  # fmt: skip
        given_by = Counted(_("agreements given"), "given_at")
        withdrawn_by = Counted(_("agreements taken back"), "withdrawn_at")
        labels = {"withdrawn_at": _("taken back")}
        rules = [Kept("agreements", "withdrawn_at__lt")]

    def __str__(self) -> str:
        return f"{self.volunteer_id}: {self.wording_id}"


class CompetenceQuerySet(OwnedQuerySet["Competence"]):
    def by_title(self) -> Self:
        return self.order_by("title", "pk")


class Competence(models.Model):
    """Something the organiser wants to know that somebody can do."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="competences"
    )
    title = models.CharField(_("can do"), max_length=60)
    asks = models.CharField(
        _("what shows it"),
        max_length=200,
        blank=True,
        help_text=_("A certificate, or that you have watched them do it."),
    )
    is_first_aid = models.BooleanField(
        _("anybody who can do this may be the day's first-aider"), default=False
    )

    objects = CompetenceQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                F("demonstration"),
                Lower("title"),
                name="competence_title_once",
                violation_error_message=_("That is already on the list."),
            )
        ]

    class Privacy(Holds):
        words = FreeWords(_("a skill"), "people:competences", [])

    def __str__(self) -> str:
        return self.title


class SkillQuerySet(OwnedQuerySet["Skill"]):
    demonstration_path = "volunteer__demonstration"

    def confirmed(self, day: date) -> Self:
        """Keep those an organiser confirmed, and that have not run out."""
        current = Q(runs_out_on__isnull=True) | Q(runs_out_on__gte=day)
        return self.filter(current, confirmed_by__isnull=False)

    def claimed(self) -> Self:
        """Keep those somebody says of themselves and nobody has answered."""
        return self.filter(confirmed_by__isnull=True, refused_at__isnull=True)

    def in_force(self) -> Self:
        """Keep those of people who have not left."""
        return self.filter(volunteer__left_at__isnull=True)

    def among(self, people: Iterable[int], competences: Iterable[int]) -> Self:
        """Keep those of some people in some things, all named by their keys."""
        return self.filter(volunteer__in=list(people), competence__in=list(competences))

    def for_page(self) -> Self:
        return self.select_related("competence", "volunteer").order_by(
            "volunteer__name", "competence__title", "pk"
        )


class Skill(models.Model):
    """That one person says, or an organiser confirms, that they can do something."""

    volunteer = models.ForeignKey(Volunteer, models.CASCADE, related_name="skills")
    competence = models.ForeignKey(Competence, models.PROTECT, related_name="skills")
    said_at = models.DateTimeField(_("said at"))
    confirmed_at = models.DateTimeField(_("confirmed at"), null=True, blank=True)
    confirmed_by = models.ForeignKey(
        User, models.PROTECT, null=True, blank=True, related_name="+"
    )
    runs_out_on = models.DateField(_("good until"), null=True, blank=True)
    refused_at = models.DateTimeField(_("refused at"), null=True, blank=True)
    refused_because = models.CharField(
        _("why it was refused"), max_length=200, blank=True
    )

    objects = SkillQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["volunteer", "competence"],
                name="skill_once_each",
                violation_error_message=_("That is already noted for them."),
            ),
            models.CheckConstraint(
                condition=Q(confirmed_at__isnull=True, confirmed_by__isnull=True)
                | Q(confirmed_at__isnull=False, confirmed_by__isnull=False),
                name="skill_confirmed_by_somebody",
            ),
            models.CheckConstraint(
                condition=Q(runs_out_on__isnull=True) | Q(confirmed_at__isnull=False),
                name="skill_good_until_is_confirmed",
            ),
            models.CheckConstraint(
                condition=Q(refused_at__isnull=True) | Q(confirmed_at__isnull=True),
                name="skill_confirmed_or_refused",
            ),
        ]

    class Privacy(Holds):
        volunteer = About(
            "skills", _("What you can do"),
            _("To give work only to those who know it."),
            "can_do=competence__title said_at confirmed_at runs_out_on",
            erased=Deleted(),
            merged=Meets("competence", _("Both have %s: the confirmed one stays.")),
        )  # fmt: skip
        confirmed_by = Counted(_("skills confirmed"), "confirmed_at")
        called = _("what they can do")
        labels = {"competence": _("skill")}
        words = FreeWords(
            _("why a skill was not confirmed"), "people:about", ["volunteer"]
        )

    def __str__(self) -> str:
        return f"{self.volunteer_id}: {self.competence_id}"

    @property
    def is_waiting(self) -> bool:
        """Whether it was said, and no organiser has answered."""
        return self.confirmed_at is None and self.refused_at is None

    def is_good_on(self, day: date) -> bool:
        """Tell whether it is confirmed, and has not run out, on a day."""
        return self.confirmed_at is not None and not self.has_run_out(day)

    def has_run_out(self, day: date) -> bool:
        """Tell whether what was confirmed is past its last day."""
        return self.runs_out_on is not None and self.runs_out_on < day


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
                    "Enter an e-mail address to invite an organiser."
                ),
            ),
        ]

    class Privacy(Holds):
        called = _("invitations")
        volunteer = About(
            "invitations", _("Invitations sent to you"), _("To let you join."),
            "address=email made_at expires_at taken_at withdrawn_at",
            erased=Deleted(), order="made_at",
        )  # fmt: skip
        made_by = Counted(_("invitations made"), "made_at")
        taken_by = Counted(_("invitations taken up"), "taken_at")
        labels = {"email": _("to")}
        rules = [Kept("invitations", InvitationQuerySet.ended_before)]

    def __str__(self) -> str:
        return self.email or str(self.volunteer_id or self.pk)

    def get_absolute_url(self) -> str:
        return reverse("invitation", args=[self.key])

    @property
    def called(self) -> str:
        """Whom it is for, as a list says it."""
        return self.volunteer.name if self.volunteer else self.email

    def trouble_at(self, now: datetime) -> str:
        """Say in plain words why nobody can take it up, or nothing if they can."""
        if self.taken_at is not None:
            return gettext("This has been taken up; it works once. Sign in instead.")
        if self.withdrawn_at is not None:
            return gettext("The organiser has withdrawn this. Ask them for a new one.")
        if self.expires_at <= now:
            return gettext("This has run out. Ask the organiser for a new one.")
        return ""


class LetterState(models.TextChoices):
    """Where a letter stands."""

    QUEUED = "queued", _("waiting to be sent")
    SENDING = "sending", _("being sent")
    SENT = "sent", _("sent")
    FAILED = "failed", _("not sent")
    BOUNCED = "bounced", _("came back")
    NO_ADDRESS = "nowhere", _("no e-mail: tell them yourself")
    OVERTAKEN = "overtaken", _("not sent: overtaken by a later change")
    TOLD = "told", _("told in person")


# What needs somebody's eye. A letter half-way is added once it is so for too long.
TROUBLED = [LetterState.FAILED, LetterState.BOUNCED, LetterState.NO_ADDRESS]
ON_THEIR_WAY = [LetterState.QUEUED, LetterState.SENDING]
ON_ITS_WAY = Q(state__in=ON_THEIR_WAY)
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

    def written_at(self, moment: datetime) -> Self:
        return self.filter(queued_at=moment)

    def overtaken_at(self, moment: datetime) -> Self:
        """Keep those overtaken by a letter that was written at a moment."""
        return self.filter(state=LetterState.OVERTAKEN, try_at=moment)

    def held_back(self, now: datetime) -> Self:
        """Keep those that wait for their first moment, and may be taken back."""
        return self.filter(state=LetterState.QUEUED, attempts=0, try_at__gt=now)

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
                violation_error_message=_("This e-mail has already been written."),
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

    class Privacy(Holds):
        volunteer = About(
            "letters", _("E-mails to you"), _("To show that you were told."),
            "queued_at address subject words=text state sent_at",
            erased=Deleted(), order="queued_at",
        )  # fmt: skip
        words = FreeWords(
            _("an e-mail to somebody else"), "people:letter",
            stays=_("It was sent like this. We delete e-mails after 12 months."),
        )  # fmt: skip
        called = _("e-mails")
        unsearched = dict.fromkeys(["key", "about", "also", "message_id"], KEY) | {
            "html": MADE,
            "parts": MADE,
            "trouble": BY_SERVER,
        }
        rules = [
            Kept("letters", "queued_at__lt", ~ON_ITS_WAY),
            Kept(
                "letters", "queued_at__lt", ON_ITS_WAY,
                _("Still on its way: look after it first."),
            ),
        ]  # fmt: skip

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

    class Privacy(Holds):
        user = About(
            "account_letters", _("E-mails about your account"),
            _("To see that you could sign in. We don't keep their words."),
            "queued_at address subject state sent_at",
            erased=Deleted(), order="queued_at",
        )  # fmt: skip
        unsearched = dict.fromkeys(["subject", "text"], TO_OWNER) | {
            "message_id": KEY,
            "trouble": BY_SERVER,
        }
        rules = [Kept("account_letters", "queued_at__lt")]
        not_given = "Letters about an account are its owner's, as the account."

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
