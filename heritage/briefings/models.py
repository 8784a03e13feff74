"""Hazards with their controls and history; briefings and who heard them; the plan."""

from collections.abc import Iterable
from datetime import date, datetime
from typing import Self

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Count, F, Q
from django.utils.translation import gettext_lazy as _

from heritage.common.models import OwnedQuerySet, Viewer, demonstrations_of
from heritage.common.privacy import (
    AS_HEARD,
    CODE,
    SEALED,
    About,
    Counted,
    FreeWords,
    Holds,
    Kept,
    Meets,
    Stays,
    Wrote,
)
from heritage.common.questions import Question
from heritage.people.models import User, Volunteer
from heritage.season.models import Demonstration

# Gatherings and dams stand above and answer, with a volunteer's key, where, at what,
# and from when.
Asking = tuple[int, str, str, datetime]
stations_asking = Question[["Briefing", datetime], Iterable[Asking]](
    "the places held at gatherings to come that ask for a briefing"
)
turns_asking = Question[["Briefing", datetime], Iterable[Asking]](
    "the turns at the dam to come that ask for a briefing"
)

GRADES = [MinValueValidator(1), MaxValueValidator(5)]


class HazardQuerySet(OwnedQuerySet["Hazard"]):
    def worst_first(self) -> Self:
        return self.order_by("-severity", "-likelihood", "title", "pk")

    def with_controls(self) -> Self:
        return self.prefetch_related("controls")

    def overdue(self, day: date) -> Self:
        """Keep those whose day to be looked at again is past."""
        return self.filter(review_on__lt=day)

    def for_page(self) -> Self:
        """Keep all, with what a page always says of a hazard."""
        return self.with_controls().select_related("assessed_by", "demonstration")

    def with_uses(self) -> Self:
        """Count for each the briefings that name it."""
        return self.annotate(uses=Count("briefings"))


class Mark(models.TextChoices):
    """The shapes of ISO 3864 that a caution may stand beside."""

    WARNING = "warning", _("warning: a danger")
    PROHIBITION = "prohibition", _("do not")
    MANDATORY = "mandatory", _("you must")
    SAFE = "safe", _("the safe way")


class Hazard(models.Model):
    """Something on this ground that can hurt somebody."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="hazards"
    )
    title = models.CharField(_("hazard"), max_length=80)
    harm = models.CharField(_("who may be hurt, and how"), max_length=400)
    where = models.CharField(
        _("where"),
        max_length=120,
        help_text=_("The place on your ground. “Everywhere” is a place too."),
    )
    severity = models.PositiveSmallIntegerField(_("severity"), validators=GRADES)
    likelihood = models.PositiveSmallIntegerField(_("likelihood"), validators=GRADES)
    severity_after = models.PositiveSmallIntegerField(
        _("severity with the controls"), validators=GRADES
    )
    likelihood_after = models.PositiveSmallIntegerField(
        _("likelihood with the controls"), validators=GRADES
    )
    severity_reason = models.CharField(
        _("why it would be less severe"),
        max_length=240,
        blank=True,
        help_text=_(
            "Needed when the controls lower the severity: most only make harm rarer."
        ),
    )
    caution = models.CharField(
        _("caution for the briefing"),
        max_length=200,
        blank=True,
        help_text=_("One short sentence that is shown beside a safety mark."),
    )
    mark = models.CharField(
        _("mark beside the caution"), max_length=12, choices=Mark, default=Mark.WARNING
    )
    stages = models.JSONField(
        _("at these stages"), default=list, blank=True, help_text=_("None: at all.")
    )
    works = models.JSONField(
        _("at these stations"), default=list, blank=True, help_text=_("None: at all.")
    )
    review_on = models.DateField(
        _("look at it again on"),
        null=True,
        blank=True,
        help_text=_(
            "After that day, check it again before you publish a briefing "
            "that names it."
        ),
    )
    assessed_at = models.DateTimeField(_("assessed at"), null=True, blank=True)
    assessed_by = models.ForeignKey(
        User, models.PROTECT, null=True, blank=True, related_name="+"
    )
    controller = models.CharField(
        _("who looks after it"),
        max_length=120,
        blank=True,
        help_text=_("A hazard of severity 5 must have one, however unlikely it is."),
    )

    objects = HazardQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["demonstration", "title"],
                name="hazard_title_once",
                violation_error_message=_(
                    "There is already a hazard with that name. Choose another."
                ),
            ),
            models.CheckConstraint(
                condition=Q(severity__range=(1, 5), likelihood__range=(1, 5)),
                name="hazard_grades_one_to_five",
            ),
            models.CheckConstraint(
                condition=Q(
                    severity_after__range=(1, 5), likelihood_after__range=(1, 5)
                ),
                name="hazard_grades_after_one_to_five",
            ),
            models.CheckConstraint(
                condition=Q(
                    severity_after__lte=F("severity"),
                    likelihood_after__lte=F("likelihood"),
                ),
                name="hazard_controls_do_not_worsen",
                violation_error_message=_(
                    "Controls can't make a hazard worse. Check the grades."
                ),
            ),
            models.CheckConstraint(
                condition=Q(severity_after=F("severity")) | ~Q(severity_reason=""),
                name="hazard_lower_severity_has_reason",
                violation_error_message=_(
                    "Say why it would hurt less, or leave how bad it is as it was."
                ),
            ),
            models.CheckConstraint(
                condition=Q(mark__in=Mark.values), name="hazard_mark_known"
            ),
        ]

    class Privacy(Holds):
        assessed_by = Wrote("hazards", _("Hazards you assessed"), "title assessed_at")
        labels = {"assessed_at": _("when")}
        words = FreeWords(_("a hazard"), "briefings:edit_hazard")
        unsearched = {"stages": CODE, "works": CODE}

    def __str__(self) -> str:
        return self.title


class HazardChangeQuerySet(OwnedQuerySet["HazardChange"]):
    def newest_first(self) -> Self:
        return self.select_related("by").order_by("-at", "-pk")


class HazardChange(models.Model):
    """One change to an assessment, as it was before and after; never rubbed out."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="hazard_changes"
    )
    # The number, not a key: the history outlives a hazard that is taken off.
    hazard_number = models.PositiveBigIntegerField(_("hazard"))
    title = models.CharField(_("called"), max_length=80)
    what = models.JSONField(_("what changed"))
    at = models.DateTimeField(_("at"))
    by = models.ForeignKey(
        User, models.PROTECT, null=True, blank=True, related_name="+"
    )

    objects = HazardChangeQuerySet.as_manager()

    class Meta:
        indexes = [
            models.Index(fields=["demonstration", "hazard_number"], name="hazard_past")
        ]

    class Privacy(Holds):
        by = Wrote("hazard_changes", _("Hazards you changed"), "title at")
        labels = {"title": _("hazard"), "at": _("when")}
        words = FreeWords(
            _("the history of the hazards"), "briefings:hazard_changes", [], SEALED
        )

    def __str__(self) -> str:
        return f"{self.title}: {self.at:%Y-%m-%d}"


class ControlKind(models.TextChoices):
    """The order in which controls are looked for, the strongest first."""

    ELIMINATE = "1_eliminate", _("take it away")
    SUBSTITUTE = "2_substitute", _("use something safer")
    ENGINEER = "3_engineer", _("guard or fence it")
    ORGANISE = "4_organise", _("arrange the work")
    PROTECT = "5_protect", _("protect the person")


class Control(models.Model):
    """One thing that is done about a hazard, said as an instruction."""

    hazard = models.ForeignKey(Hazard, models.CASCADE, related_name="controls")
    kind = models.CharField(_("kind"), max_length=12, choices=ControlKind)
    text = models.CharField(_("what is done"), max_length=240)

    class Meta:
        ordering = ["kind", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind__in=ControlKind.values), name="control_kind_known"
            )
        ]

    class Privacy(Holds):
        home = "hazard__demonstration"
        words = FreeWords(
            _("a control of a hazard"), "briefings:edit_hazard", ["hazard"]
        )

    def __str__(self) -> str:
        return self.text


class BriefingQuerySet(OwnedQuerySet["Briefing"]):
    def by_title(self) -> Self:
        return self.order_by("title", "pk")

    def with_hazards(self) -> Self:
        """Keep all, with the hazards that each names, the worst first."""
        worst = Hazard.objects.worst_first().with_controls()
        return self.prefetch_related(models.Prefetch("hazards", worst))

    def told_by(self, user: Viewer, since: datetime) -> Self:
        """Keep those that the user may tick off for others.

        That is all of theirs for an organiser, and for a lead those of a
        demonstration where they lead a gathering that ends after ``since``.
        """
        if not isinstance(user, User):
            return self.none()
        organised = Q(demonstration__in=demonstrations_of(user, organised=True))
        leading = user.volunteers.active().leading_after(since)
        led = Q(demonstration__in=leading.values("demonstration"))
        return self.filter(organised | led)


class Briefing(models.Model):
    """What somebody is told before they take up a station; changed by publishing."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="briefings"
    )
    title = models.CharField(_("title"), max_length=80)
    task = models.CharField(_("the work"), max_length=300)
    short = models.TextField(
        _("short form"),
        max_length=1800,
        blank=True,
        help_text=_(
            "A dozen short lines, one to a line, to read out or to read on a phone. "
            "It's part of the version: when it changes, everybody hears it again."
        ),
    )
    plan = models.CharField(_("today's plan"), max_length=300, blank=True)
    in_charge = models.CharField(
        _("person in charge"),
        max_length=120,
        blank=True,
        help_text=_("A briefing without one cannot be published."),
    )
    stop_signal = models.CharField(_("stop signal"), max_length=200, blank=True)
    no_go = models.CharField(
        _("where nobody goes, and the barriers"), max_length=300, blank=True
    )
    machine_stop = models.CharField(
        _("how the machines are stopped"), max_length=300, blank=True
    )
    lifting = models.CharField(_("the rule for lifting"), max_length=300, blank=True)
    weather = models.CharField(
        _("when the weather stops the work"), max_length=300, blank=True
    )
    clothing = models.CharField(_("what to wear"), max_length=200, blank=True)
    first_aid = models.CharField(
        _("first-aider and first aid kit"), max_length=300, blank=True
    )
    aed = models.CharField(_("nearest defibrillator (AED)"), max_length=200, blank=True)
    hospital = models.CharField(_("nearest hospital"), max_length=300, blank=True)
    emergency = models.CharField(
        _("in an emergency"),
        max_length=400,
        blank=True,
        help_text=_("Who calls, on what number, the way in for an ambulance."),
    )
    grid_reference = models.CharField(_("grid reference"), max_length=60, blank=True)
    assembly_point = models.CharField(_("meeting point"), max_length=200, blank=True)
    lost_child = models.CharField(_("a lost child"), max_length=300, blank=True)
    welfare = models.CharField(_("water, shade, toilets"), max_length=200, blank=True)
    not_for = models.CharField(_("who shouldn't do this"), max_length=300, blank=True)
    photos = models.CharField(_("photographs"), max_length=200, blank=True)
    hazards = models.ManyToManyField(
        Hazard, related_name="briefings", blank=True, verbose_name=_("hazards")
    )

    objects = BriefingQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["demonstration", "title"],
                name="briefing_title_once",
                violation_error_message=_(
                    "There is already a briefing with that name. Choose another."
                ),
            )
        ]

    class Privacy(Holds):
        words = FreeWords(_("a briefing"), "briefings:edit_briefing")
        unsearched = {"grid_reference": CODE}

    def __str__(self) -> str:
        return self.title


class BriefingVersionQuerySet(OwnedQuerySet["BriefingVersion"]):
    demonstration_path = "briefing__demonstration"

    def current(self) -> Self:
        """Keep the newest version of each briefing."""
        newest = (
            self.model._default_manager.filter(briefing=models.OuterRef("briefing"))
            .order_by("-number")
            .values("pk")[:1]
        )
        return self.filter(pk=models.Subquery(newest))


class BriefingVersion(models.Model):
    """A briefing as it was published: its words are frozen."""

    briefing = models.ForeignKey(Briefing, models.PROTECT, related_name="versions")
    number = models.PositiveIntegerField(_("version"))
    content = models.JSONField(_("words"))
    published_at = models.DateTimeField(_("published at"))
    published_by = models.ForeignKey(User, models.PROTECT, null=True, blank=True)

    objects = BriefingVersionQuerySet.as_manager()

    class Meta:
        ordering = ["briefing", "-number"]
        constraints = [
            models.UniqueConstraint(
                fields=["briefing", "number"], name="briefing_version_once"
            ),
            models.CheckConstraint(
                condition=Q(number__gte=1), name="briefing_version_counts_from_one"
            ),
        ]

    class Privacy(Holds):
        published_by = Wrote(
            "published", _("Briefings you published"),
            "briefing__title version=number at=published_at",
        )  # fmt: skip
        labels = {"published_at": _("when")}
        words = FreeWords(
            _("a briefing as it was heard"), "briefings:briefing", ["briefing"],
            AS_HEARD,
        )  # fmt: skip

    def __str__(self) -> str:
        return f"{self.briefing_id} v{self.number}"


# Why an erasing leaves what somebody heard.
TOLD_WHAT_CAN_HURT = _(
    "Proof that they were told what can hurt them is kept 3 years, by our own rule."
)


class HeardHow(models.TextChoices):
    """How somebody heard a briefing."""

    SCREEN = "screen", _("read on a screen")
    ALOUD = "aloud", _("heard it at the gate")
    PAPER = "paper", _("signed the sheet")


class AcknowledgementQuerySet(OwnedQuerySet["Acknowledgement"]):
    demonstration_path = "version__briefing__demonstration"

    def holding(self) -> Self:
        """Keep those of a briefing's newest version: older ones are void."""
        return self.filter(version__in=BriefingVersion.objects.current())

    def void(self) -> Self:
        return self.exclude(version__in=BriefingVersion.objects.current())


class Acknowledgement(models.Model):
    """That one person heard one version of one briefing."""

    version = models.ForeignKey(
        BriefingVersion, models.PROTECT, related_name="acknowledgements"
    )
    volunteer = models.ForeignKey(
        Volunteer, models.PROTECT, related_name="acknowledgements"
    )
    heard_at = models.DateTimeField(_("heard at"))
    how = models.CharField(_("how"), max_length=6, choices=HeardHow)
    recorded_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    in_short = models.BooleanField(_("in its short form"), default=False)
    read_by = models.ForeignKey(
        Volunteer,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        verbose_name=_("read out by"),
    )

    objects = AcknowledgementQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["version", "volunteer"],
                name="acknowledgement_once_each",
                violation_error_message=_("They have already confirmed this briefing."),
            ),
            models.CheckConstraint(
                condition=Q(how__in=HeardHow.values), name="acknowledgement_how_known"
            ),
        ]

    class Privacy(Holds):
        volunteer = About(
            "briefings", _("Briefings you heard"),
            _("To show that you were told the dangers."),
            "version__briefing__title version=version__number heard_at how in_short",
            erased=Stays(why=TOLD_WHAT_CAN_HURT),
            merged=Meets(
                "version", _("Both heard %s: the first time stays."), "heard_at"
            ),
            order="heard_at",
        )  # fmt: skip
        read_by = About(
            "briefings_read", _("Briefings you read out"),
            _("As proof of who told others what can hurt."),
            "version__briefing__title version=version__number heard_at",
            erased=Stays(), order="heard_at",
        )  # fmt: skip
        recorded_by = Counted(_("briefings ticked off"), "heard_at")
        called = _("briefings heard")
        rules = [Kept("briefings", "heard_at__lt")]

    def __str__(self) -> str:
        return f"{self.volunteer_id}: {self.version_id}"


class EmergencyPlanQuerySet(OwnedQuerySet["EmergencyPlan"]):
    pass


class EmergencyPlan(models.Model):
    """What everybody must know in an emergency, as the organiser enters it."""

    demonstration = models.OneToOneField(
        Demonstration, models.PROTECT, related_name="emergency_plan"
    )
    controller = models.CharField(_("who decides"), max_length=120, blank=True)
    deputy = models.CharField(_("deputy"), max_length=120, blank=True)
    calls = models.CharField(_("who calls for help"), max_length=160, blank=True)
    number = models.CharField(
        _("number to call"), max_length=40, default="999 or 112", blank=True
    )
    grid_reference = models.CharField(_("grid reference"), max_length=60, blank=True)
    way_in = models.CharField(_("way in for an ambulance"), max_length=300, blank=True)
    hospital = models.CharField(_("nearest hospital"), max_length=300, blank=True)
    meeting_point = models.CharField(_("meeting point"), max_length=200, blank=True)
    shelter = models.CharField(_("shelter from lightning"), max_length=200, blank=True)
    signal = models.CharField(_("signal for everybody out"), max_length=200, blank=True)
    no_signal = models.CharField(
        _("where there is no phone signal, and what then"), max_length=300, blank=True
    )
    fire = models.CharField(
        _("fire extinguishers and buckets"), max_length=300, blank=True
    )
    water_rescue = models.CharField(
        _("throw-line and pole"), max_length=300, blank=True
    )
    machine_stop = models.CharField(
        _("how the machines are stopped"), max_length=300, blank=True
    )
    lost_child = models.CharField(
        _("where a lost child is taken"), max_length=300, blank=True
    )
    light_failure = models.CharField(
        _("if the light or the power fails"), max_length=300, blank=True
    )
    aed = models.CharField(_("nearest defibrillator (AED)"), max_length=200, blank=True)
    petrol_l = models.DecimalField(
        _("petrol kept here, in litres"),
        max_digits=6,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
    )
    revised_at = models.DateTimeField(_("last changed"))
    revised_by = models.ForeignKey(
        User, models.PROTECT, null=True, blank=True, related_name="+"
    )

    objects = EmergencyPlanQuerySet.as_manager()

    class Privacy(Holds):
        revised_by = Wrote(
            "emergency_plan", _("The emergency sheet you changed last"), "revised_at"
        )
        labels = {"revised_at": _("when")}
        words = FreeWords(_("the emergency sheet"), "briefings:edit_emergency", [])
        unsearched = {"number": CODE, "grid_reference": CODE}

    def __str__(self) -> str:
        return f"{self.demonstration_id}"


class FirstAidPointQuerySet(OwnedQuerySet["FirstAidPoint"]):
    def in_order(self) -> Self:
        return self.order_by("place", "pk")


class FirstAidPoint(models.Model):
    """Where a first-aid kit is."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="first_aid_points"
    )
    place = models.CharField(_("where"), max_length=160)
    holds = models.CharField(_("what is there"), max_length=200, blank=True)

    objects = FirstAidPointQuerySet.as_manager()

    class Privacy(Holds):
        words = FreeWords(_("a first-aid point"), "briefings:emergency", [])

    def __str__(self) -> str:
        return self.place
