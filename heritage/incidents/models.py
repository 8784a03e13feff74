"""Incidents and near misses, read by few and kept by class; a child lost or found."""

from datetime import date, datetime, time, timedelta
from typing import Self
from zoneinfo import ZoneInfo

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from heritage.briefings.models import Hazard
from heritage.common.models import (
    ManagedQuerySet,
    OwnedQuerySet,
    Row,
    Viewer,
    demonstrations_of,
    private_key,
)
from heritage.common.privacy import (
    CODE,
    About,
    Counted,
    FreeWords,
    Holds,
    Kept,
    Stays,
    Wrote,
)
from heritage.people.models import User, Volunteer
from heritage.season.models import Demonstration

# A lead may keep a lost child's log from this long before to as long after.
LEADS_KEEP_LOGS = timedelta(hours=12)

# Why names in them are left when somebody is erased.
BY_LAW = _("The law asks for a record of it: it stays as written until it is due.")
CHILD_LOG = _("The log of a child stays as written, and goes after a year.")


class IncidentKind(models.TextChoices):
    """What came of it."""

    NEAR_MISS = "near_miss", _("near miss: nobody hurt, but somebody might have been")
    INJURY = "injury", _("somebody was hurt")
    ILLNESS = "illness", _("somebody was taken ill")
    DAMAGE = "damage", _("something was damaged or lost")


class WhoHurt(models.TextChoices):
    """Who was hurt, in the words of the reporting rules."""

    VOLUNTEER = "volunteer", _("a volunteer")
    VISITOR = "visitor", _("a visitor")
    EMPLOYEE = "employee", _("somebody paid to work here")


class IncidentQuerySet(OwnedQuerySet["Incident"]):
    def visible_to(self, user: Viewer) -> Self:
        """Keep what the user wrote down themselves, and an organiser's all."""
        if not isinstance(user, User):
            return self.none()
        mine = Q(reported_by=user, demonstration__in=demonstrations_of(user))
        organised = Q(demonstration__in=demonstrations_of(user, organised=True))
        return self.filter(mine | organised)

    def newest_first(self) -> Self:
        return self.order_by("-happened_at", "-pk")

    def for_page(self) -> Self:
        return self.select_related(
            "demonstration", "volunteer", "hazard", "reported_by", "completed_by"
        )

    def oldest_first(self) -> Self:
        return self.order_by("happened_at", "pk")

    def between(self, first: date, last: date, zone: ZoneInfo) -> Self:
        """Keep those that happened from the first day to the last, both whole."""
        start = datetime.combine(first, time.min, zone)
        end = datetime.combine(last + timedelta(days=1), time.min, zone)
        return self.filter(happened_at__gte=start, happened_at__lt=end)

    def sent_as(self, key: str, by: User | None = None) -> Self:
        """Keep the one that was sent with a form's own key, by one person."""
        sent = self.filter(key=key)
        return sent.filter(reported_by=by) if by else sent

    def unfinished(self) -> Self:
        return self.filter(completed_at__isnull=True)

    def due(self, day: date) -> Self:
        """Keep those kept long enough, none of them held for a claim."""
        return self.filter(keep_until__lt=day, held_for="")


class Incident(models.Model):
    """What went wrong, or nearly: quick to write down, completed later."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="incidents"
    )
    key = models.CharField(
        max_length=40, unique=True, default=private_key, editable=False
    )
    kind = models.CharField(_("what came of it"), max_length=10, choices=IncidentKind)
    happened_at = models.DateTimeField(_("when"))
    place = models.CharField(_("where"), max_length=160)
    account = models.TextField(_("what happened"), max_length=4000)
    who = models.CharField(
        _("who was hurt"), max_length=10, choices=WhoHurt, blank=True
    )
    volunteer = models.ForeignKey(
        Volunteer, models.PROTECT, null=True, blank=True, related_name="incidents"
    )
    hurt_name = models.CharField(_("their name"), max_length=120, blank=True)
    hurt_contact = models.CharField(_("how to reach them"), max_length=200, blank=True)
    is_child = models.BooleanField(_("they are under 18"), default=False)
    born_on = models.DateField(_("their date of birth"), null=True, blank=True)
    injury = models.CharField(_("the injury or illness"), max_length=400, blank=True)
    done = models.CharField(_("what was done at once"), max_length=600, blank=True)
    # None stands for "not known yet", which the reporting prompt asks about.
    work_related = models.BooleanField(
        _("the work, its machines or the place had a part in it"), null=True, blank=True
    )
    employer = models.BooleanField(
        _("an employer or a business ran the work or the place"), null=True, blank=True
    )
    on_public_road = models.BooleanField(_("on a public road"), null=True, blank=True)
    fatal = models.BooleanField(_("somebody died"), null=True, blank=True)
    treated_in_hospital = models.BooleanField(
        _("taken straight to hospital, and treated there"), null=True, blank=True
    )
    hazard = models.ForeignKey(
        Hazard,
        models.SET_NULL,
        null=True,
        blank=True,
        related_name="incidents",
        verbose_name=_("hazard to look at again"),
    )
    learnt = models.TextField(
        _("what changes because of it"), max_length=2000, blank=True
    )
    reported_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    reported_at = models.DateTimeField(_("written down at"))
    completed_by = models.ForeignKey(
        User, models.PROTECT, null=True, blank=True, related_name="+"
    )
    completed_at = models.DateTimeField(_("completed at"), null=True, blank=True)
    told_authority_on = models.DateField(_("reported on"), null=True, blank=True)
    told_authority_how = models.CharField(
        _("how, and the reference"), max_length=200, blank=True
    )
    not_told_why = models.CharField(_("why not reported"), max_length=300, blank=True)
    keep_until = models.DateField(_("kept until"))
    held_for = models.CharField(_("kept longer because"), max_length=200, blank=True)

    objects = IncidentQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(kind__in=IncidentKind.values)
                & (Q(who="") | Q(who__in=WhoHurt.values)),
                name="incident_choices_known",
            ),
            models.CheckConstraint(
                condition=Q(completed_at__isnull=True, completed_by__isnull=True)
                | Q(completed_at__isnull=False, completed_by__isnull=False),
                name="incident_completed_by_somebody",
            ),
        ]

    class Privacy(Holds):
        volunteer = About(
            "incidents", _("Incidents in which you were hurt or named"),
            _("The law asks for a record. What others say of it is not shown here."),
            "happened_at place kind name=hurt_name contact=hurt_contact born_on "
            "injury done keep_until",
            erased=Stays(), order="happened_at",
        )  # fmt: skip
        reported_by = Wrote(
            "incidents_written", _("Incidents you wrote down"),
            "happened_at place account reported_at",
        )  # fmt: skip
        completed_by = Counted(_("incidents completed"), "completed_at")
        labels = {
            "hurt_name": _("name in the report"), "hurt_contact": _("how to reach you"),
            "born_on": _("date of birth"), "injury": _("injury or illness"),
            "reported_at": _("written"),
        }  # fmt: skip
        words = FreeWords(_("an incident"), "incidents:incident", stays=BY_LAW)
        rules = [
            Kept("incidents", IncidentQuerySet.due, Q(completed_at__isnull=False)),
            Kept(
                "incidents", "keep_until__lt", ~Q(held_for=""),
                _("Held because of a claim."),
            ),
            Kept(
                "incidents", IncidentQuerySet.due, Q(completed_at__isnull=True),
                _("Not completed: nobody has said yet what came of it."),
            ),
        ]  # fmt: skip
        apart = "incidents"

    def __str__(self) -> str:
        return f"{self.get_kind_display()}, {self.happened_at:%Y-%m-%d}"


class PartQuerySet(OwnedQuerySet[Row]):
    """Parts of an incident: an organiser's all, a reporter's what they added."""

    demonstration_path = "incident__demonstration"
    author = "added_by"

    def visible_to(self, user: Viewer) -> Self:
        """Keep an organiser's all, and what others added to their own report."""
        if not isinstance(user, User):
            return self.none()
        mine = Q(incident__reported_by=user, **{self.author: user})
        here = Q(incident__demonstration__in=demonstrations_of(user))
        keys = demonstrations_of(user, organised=True)
        return self.filter((mine & here) | Q(incident__demonstration__in=keys))


class WitnessQuerySet(PartQuerySet["Witness"]):
    pass


class Witness(models.Model):
    """Somebody who saw it, and what they say."""

    incident = models.ForeignKey(Incident, models.CASCADE, related_name="witnesses")
    name = models.CharField(_("name"), max_length=120)
    contact = models.CharField(_("how to reach them"), max_length=200, blank=True)
    says = models.TextField(_("what they saw"), max_length=2000, blank=True)
    added_by = models.ForeignKey(
        User, models.PROTECT, null=True, blank=True, related_name="+"
    )

    objects = WitnessQuerySet.as_manager()

    class Privacy(Holds):
        added_by = Counted(_("witnesses in the report"), "incident__happened_at")
        words = FreeWords(
            _("a witness of an incident"), "incidents:incident", ["incident"], BY_LAW
        )
        apart = "incidents"

    def __str__(self) -> str:
        return self.name


def evidence_path(evidence: "Evidence", name: str) -> str:
    """Name the stored photograph by its own key: the sender's name is not kept."""
    return f"{evidence.incident.demonstration_id}/incidents/{evidence.key}.jpg"


class EvidenceQuerySet(PartQuerySet["Evidence"]):
    pass


class Evidence(models.Model):
    """A photograph of an incident: never in the picture record, never published."""

    incident = models.ForeignKey(Incident, models.CASCADE, related_name="evidence")
    key = models.CharField(
        max_length=40, unique=True, default=private_key, editable=False
    )
    file = models.FileField(upload_to=evidence_path)
    words = models.CharField(_("what it shows"), max_length=300)
    added_at = models.DateTimeField(_("added at"))
    added_by = models.ForeignKey(User, models.PROTECT, related_name="+")

    objects = EvidenceQuerySet.as_manager()

    class Privacy(Holds):
        added_by = Wrote(
            "evidence", _("Photographs of an incident you took"), "words added_at"
        )
        words = FreeWords(
            _("a photograph of an incident"), "incidents:incident", ["incident"], BY_LAW
        )
        apart = "incidents"

    def __str__(self) -> str:
        return self.words


class IncidentChangeQuerySet(PartQuerySet["IncidentChange"]):
    author = "by"


class IncidentChange(models.Model):
    """What was changed of an incident after it was first written down."""

    incident = models.ForeignKey(Incident, models.CASCADE, related_name="changes")
    what = models.JSONField(_("what changed"))
    at = models.DateTimeField(_("at"))
    by = models.ForeignKey(User, models.PROTECT, related_name="+")

    objects = IncidentChangeQuerySet.as_manager()

    class Meta:
        ordering = ["-at", "-pk"]

    class Privacy(Holds):
        by = Counted(_("incidents changed"), "at")
        words = FreeWords(
            _("the history of an incident"), "incidents:incident", ["incident"], BY_LAW
        )
        apart = "incidents"

    def __str__(self) -> str:
        return f"{self.incident_id}: {self.at:%Y-%m-%d}"


class ChildMatter(models.TextChoices):
    """Whether somebody looks for a child, or a child for somebody."""

    LOST = "lost", _("a child is missing")
    FOUND = "found", _("a child has been found")


class LostChildQuerySet(ManagedQuerySet["LostChild"]):
    def open(self) -> Self:
        return self.filter(closed_at__isnull=True)

    def kept_by(self, user: Viewer, now: datetime) -> Self:
        """Keep those that the user may write in at this hour.

        That is all of theirs for an organiser, and for a lead those of a
        demonstration where they lead a gathering from twelve hours before now to
        twelve hours after.
        """
        if not isinstance(user, User):
            return self.none()
        organised = Q(demonstration__in=demonstrations_of(user, organised=True))
        leading = user.volunteers.active().leading_between(
            now - LEADS_KEEP_LOGS, now + LEADS_KEEP_LOGS
        )
        led = Q(demonstration__in=leading.values("demonstration"))
        return self.filter(organised | led)

    def due(self, day: date) -> Self:
        """Keep the closed logs whose day to be deleted has come."""
        return self.filter(closed_at__isnull=False, delete_on__lte=day)

    def newest_first(self) -> Self:
        return self.order_by("-opened_at", "-pk")


class LostChild(models.Model):
    """The log of one child lost or found; the name is never called out."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="lost_children"
    )
    matter = models.CharField(_("what it is"), max_length=5, choices=ChildMatter)
    reporter = models.CharField(_("who told you"), max_length=160)
    name = models.CharField(_("the child's name"), max_length=120, blank=True)
    age = models.CharField(_("age"), max_length=20, blank=True)
    looks = models.CharField(_("looks and clothes"), max_length=400)
    last_seen = models.CharField(_("last seen, or found"), max_length=300)
    needs = models.CharField(_("needs"), max_length=300, blank=True)
    opened_at = models.DateTimeField(_("opened at"))
    opened_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    police_called_at = models.DateTimeField(
        _("police called at"), null=True, blank=True
    )
    closed_at = models.DateTimeField(_("ended at"), null=True, blank=True)
    closed_by = models.ForeignKey(
        User, models.PROTECT, null=True, blank=True, related_name="+"
    )
    outcome = models.CharField(_("how it ended"), max_length=400, blank=True)
    went_to = models.CharField(_("who the child left with"), max_length=160, blank=True)
    checked_by = models.CharField(
        _("who checked their identity"), max_length=160, blank=True
    )
    delete_on = models.DateField(_("is deleted on"))

    objects = LostChildQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(matter__in=ChildMatter.values), name="lost_child_known"
            ),
            models.CheckConstraint(
                condition=Q(closed_at__isnull=True) | ~Q(outcome=""),
                name="lost_child_ends_with_words",
                violation_error_message=_("Say how it ended."),
            ),
        ]

    class Privacy(Holds):
        opened_by = Counted(_("logs of a child opened"), "opened_at")
        closed_by = Counted(_("logs of a child ended"), "closed_at")
        words = FreeWords(
            _("the log of a child"), "incidents:child_log", stays=CHILD_LOG
        )
        unsearched = {"age": CODE}
        rules = [
            Kept("lost_child", LostChildQuerySet.due),
            Kept(
                "lost_child", "delete_on__lte", Q(closed_at__isnull=True),
                _("Not ended: say first how it ended."),
            ),
        ]  # fmt: skip
        apart = "incidents"

    def __str__(self) -> str:
        return f"{self.get_matter_display()}, {self.opened_at:%Y-%m-%d}"


class ChildStep(models.Model):
    """One line of the log: what was done, when, by whom."""

    lost_child = models.ForeignKey(LostChild, models.CASCADE, related_name="steps")
    at = models.DateTimeField(_("at"))
    by = models.ForeignKey(User, models.PROTECT, related_name="+")
    # Which line of the checklist it is; empty for words of somebody's own.
    step = models.CharField(max_length=20, blank=True)
    text = models.CharField(_("what was done"), max_length=300)

    objects = models.Manager()

    class Meta:
        ordering = ["at", "pk"]

    class Privacy(Holds):
        by = Counted(_("lines in the log of a child"), "at")
        home = "lost_child__demonstration"
        words = FreeWords(
            _("the log of a child"), "incidents:child_log", ["lost_child"], CHILD_LOG
        )
        unsearched = {"step": CODE}
        apart = "incidents"

    def __str__(self) -> str:
        return self.text
