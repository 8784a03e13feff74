"""What a gathering, a station, a sign-up, a call and a turnout may be."""

import uuid
from collections.abc import Iterable, Mapping
from datetime import UTC, date, datetime, timedelta
from typing import Self

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Count, Exists, F, Max, OuterRef, Q, Subquery
from django.db.models.functions import Coalesce
from django.urls import reverse
from django.utils.formats import date_format, time_format
from django.utils.translation import gettext_lazy as _

from heritage.briefings.models import Asking, Briefing
from heritage.common.models import OwnedQuerySet, Viewer, demonstrations_of
from heritage.common.privacy import (
    CODE,
    SEALED,
    About,
    Counted,
    Deleted,
    FreeWords,
    Holds,
    Kept,
    Meets,
    Parted,
    Stays,
    Wrote,
)
from heritage.common.questions import Question
from heritage.people.models import (
    AgeBand,
    Competence,
    PersonalQuerySet,
    User,
    Volunteer,
)
from heritage.season.models import AT_THE_DAM, Demonstration, Plot, Stage

# The field log stands above gatherings, and answers.
thunder_heard = Question[["Gathering"], list[datetime]](
    "when thunder was heard at a gathering, in order"
)

# More visitors than this is a slip of the finger.
MOST_VISITORS = 20_000


class GatheringStatus(models.TextChoices):
    """Where a gathering stands."""

    DRAFT = "draft", _("draft")
    POSTED = "posted", _("going ahead as posted")
    CALLED_OFF = "called_off", _("called off")


class StationKind(models.TextChoices):
    """The kinds of work that a gathering may have."""

    PULL = "pull", _("pull")
    TIE = "tie", _("tie")
    LAY_BANDS = "lay_bands", _("lay bands")
    DRIVE = "drive", _("drive")
    FEED = "feed", _("feed the puller")
    LIFT_OFF = "lift_off", _("lift off")
    FORK = "fork", _("fork")
    STONE = "stone", _("stone")
    TREAD = "tread", _("tread")
    STEWARD = "steward", _("steward")
    TALK = "talk", _("talk to visitors")
    OTHER = "other", _("other work")

    def is_at_water(self, stage: str) -> bool:
        """Whether the work has hands over or at the water, at some stage.

        While the dam is filled, trodden or emptied that is all work there, but for
        driving and talking.
        """
        always = self in {self.STONE, self.TREAD}
        return always or (stage in AT_THE_DAM and self not in {self.DRIVE, self.TALK})

    @property
    def stops_by_sunset(self) -> bool:
        """Whether the work is with machines or at the water: not for the dusk."""
        return self.value in {"drive", "feed", "lift_off", "stone", "tread"}


class SignUpStatus(models.TextChoices):
    """What a sign-up comes to.

    Who has not come in time has given nothing up: their place went to another who stood
    there, and they have it back if they come while there is room.
    """

    HELD = "held", _("has a place")
    WAITING = "waiting", _("on the waiting list")
    GIVEN_UP = "given_up", _("given up")
    NOT_COME = "not_come", _("not come in time")


class Decision(models.TextChoices):
    """What a call comes to."""

    GO = "go", _("go ahead")
    HOLD = "hold", _("wait and see")
    OFF = "off", _("call off")

    @property
    def state(self) -> str:
        """How an evening stands once that is decided."""
        states = {"go": _("going ahead"), "off": _("called off")}
        return str(states.get(self.value, self.label))


class WhyOff(models.TextChoices):
    """Why an evening is off: chosen when the call is made, never read from words."""

    RAIN = "rain", _("rain")
    WET_CROP = "wet_crop", _("wet crop")
    WIND = "wind", _("wind")
    THUNDER = "thunder", _("thunder")
    HEAT = "heat", _("heat")
    COLD = "cold", _("cold")
    LIGHT = "light", _("too little light")
    SOFT_GROUND = "soft_ground", _("soft ground")
    CROP = "crop", _("lodged or green crop")
    MACHINE = "machine", _("a machine or trailer")
    TOO_FEW = "too_few", _("too few people")
    OTHER = "other", _("something else")

    @property
    def is_wet(self) -> bool:
        """Whether it makes the evening a wet one for the chances of the next."""
        return self in {WhyOff.RAIN, WhyOff.WET_CROP}


class StationAsked(models.Model):
    """One station: how many it needs, and what it asks of them."""

    kind = models.CharField(_("kind of work"), max_length=10, choices=StationKind)
    title = models.CharField(_("called"), max_length=60)
    places = models.PositiveSmallIntegerField(
        _("places"), validators=[MinValueValidator(1), MaxValueValidator(500)]
    )
    fewest = models.PositiveSmallIntegerField(
        _("fewest needed"),
        default=0,
        help_text=_("With fewer than this, the work doesn't start."),
    )
    least_age = models.CharField(
        _("youngest age"), max_length=8, choices=AgeBand, default=AgeBand.FROM_16
    )
    competence = models.ForeignKey(
        Competence,
        models.PROTECT,
        null=True,
        blank=True,
        verbose_name=_("must be able to"),
    )
    briefing = models.ForeignKey(
        Briefing,
        models.PROTECT,
        null=True,
        blank=True,
        verbose_name=_("safety briefing to hear first"),
    )
    note = models.CharField(_("what the work is"), max_length=240, blank=True)

    class Meta:
        abstract = True

    def __str__(self) -> str:
        return self.title


def new_uid() -> str:
    """Return a calendar identity for life: no name, no address in it."""
    return uuid.uuid4().hex


# The tally stands above gatherings, and answers.
beets_of = Question[["Gathering"], Mapping[int, int]](
    "the beets of a gathering in the book, by the key of the person"
)

# The first come so long before the start; the last load is home so long after the end.
# House rules, no source.
FIRST_HERE = timedelta(minutes=30)
LAST_HOME = timedelta(hours=6)
# How long a place is kept for somebody who has not come: a house rule, no source.
GRACE = timedelta(minutes=30)
# How long a call may be taken back before anybody hears of it. Our own choice.
TAKE_BACK = timedelta(minutes=1)
# How long before and after a gathering its first-aider reads what may be needed.
FIRST_AID_WINDOW = timedelta(hours=12)


def _about_now(now: datetime) -> Q:
    return Q(
        status=GatheringStatus.POSTED,
        starts_at__lte=now + FIRST_AID_WINDOW,
        ends_at__gte=now - FIRST_AID_WINDOW,
    )


class GatheringQuerySet(OwnedQuerySet["Gathering"]):
    def visible_to(self, user: Viewer) -> Self:
        """Keep what is posted where the user may look; drafts for organisers."""
        member = Q(demonstration__in=demonstrations_of(user))
        public = Q(demonstration__is_public=True)
        organised = Q(demonstration__in=demonstrations_of(user, organised=True))
        drafted = Q(status=GatheringStatus.DRAFT)
        return self.filter(((member | public) & ~drafted) | organised)

    def with_marks(self) -> Self:
        """Keep all, with what tells apart those of one title."""
        return self.select_related("demonstration")

    def led_by(self, user: Viewer) -> Self:
        """Keep the gatherings that the user leads, or organises."""
        organised = Q(demonstration__in=demonstrations_of(user, organised=True))
        if not isinstance(user, User):
            return self.none()
        return self.filter(organised | Q(lead__user=user, lead__left_at__isnull=True))

    def has_led(self, user: Viewer, demonstration: Demonstration) -> bool:
        """Tell whether somebody leads, or organises, a gathering here: one query."""
        return self.led_by(user).of(demonstration).exists()

    def first_aid_by(self, user: Viewer, now: datetime) -> Self:
        """Keep those whose health notes a user may read: organised, or the day's own.

        The day's first-aider reads them from 12 hours before to 12 hours after; the
        lead and everybody else never do.
        """
        organised = Q(demonstration__in=demonstrations_of(user, organised=True))
        if not isinstance(user, User):
            return self.none()
        aider = Q(first_aider__user=user, first_aider__left_at__isnull=True)
        return self.filter(organised | (aider & _about_now(now)))

    def emergency_by(self, user: Viewer, now: datetime) -> Self:
        """Keep those whose emergency contacts a user may read: also the day's lead."""
        organised = Q(demonstration__in=demonstrations_of(user, organised=True))
        if not isinstance(user, User):
            return self.none()
        aider = Q(first_aider__user=user, first_aider__left_at__isnull=True)
        lead = Q(lead__user=user, lead__left_at__isnull=True)
        return self.filter(organised | ((aider | lead) & _about_now(now)))

    def published(self) -> Self:
        """Keep all but the drafts; a gathering called off stays to be seen."""
        return self.exclude(status=GatheringStatus.DRAFT)

    def going_ahead(self) -> Self:
        return self.filter(status=GatheringStatus.POSTED)

    def upcoming(self, now: datetime) -> Self:
        return self.filter(ends_at__gt=now).order_by("starts_at", "pk")

    def over(self, now: datetime) -> Self:
        return self.filter(ends_at__lte=now).order_by("-starts_at", "-pk")

    def to_close(self, now: datetime, since: datetime) -> Self:
        """Keep those that are over since some moment, and not closed yet."""
        rows = self.going_ahead().over(now).filter(ends_at__gt=since)
        return rows.filter(closed_at__isnull=True)

    def in_the_field(self, now: datetime) -> Self:
        """Keep those that are on: from a little before until everybody has gone."""
        here = Turnout.objects.filter(gathering=OuterRef("pk")).here_at(now)
        late = Q(ends_at__gt=now - LAST_HOME) & Exists(here)
        begun = self.going_ahead().filter(starts_at__lte=now + FIRST_HERE)
        on = begun.filter(Q(ends_at__gt=now) | late).filter(closed_at__isnull=True)
        return on.order_by("starts_at", "pk")

    def in_order(self) -> Self:
        return self.order_by("starts_at", "pk")

    def of_keys(self, keys: Iterable[int]) -> Self:
        return self.filter(pk__in=list(keys))

    def not_called_off(self) -> Self:
        return self.exclude(status=GatheringStatus.CALLED_OFF)

    def between(self, start: datetime, end: datetime) -> Self:
        """Keep those that lie, in part at least, between two moments."""
        return self.filter(starts_at__lt=end, ends_at__gt=start)

    def drafts(self) -> Self:
        return self.filter(status=GatheringStatus.DRAFT)

    def expecting(self, volunteer: Volunteer) -> Self:
        """Keep those where the volunteer has a place or a turn."""
        live = [SignUpStatus.HELD, SignUpStatus.WAITING]
        there = Q(sign_ups__volunteer=volunteer, sign_ups__status__in=live)
        return self.filter(there).distinct()

    def starting_after(self, moment: datetime) -> Self:
        return self.filter(starts_at__gt=moment).order_by("starts_at", "pk")

    def starting_by(self, moment: datetime) -> Self:
        return self.filter(starts_at__lte=moment)

    def awaiting_answers(self, now: datetime) -> Self:
        """Keep those where a place was not answered for in time."""
        return self.filter(sign_ups__answer_by__lte=now).distinct()

    def with_queue(self) -> Self:
        """Keep those where somebody waits for a place."""
        waiting = SignUpStatus.WAITING
        return self.filter(sign_ups__status=waiting).distinct()

    def for_page(self) -> Self:
        """Keep all, with what a page always says of a gathering."""
        return self.select_related(
            "demonstration", "plot", "lead", "first_aider", "run"
        )


class Gathering(models.Model):
    """A posted meeting of volunteers with a time, a place and work to do."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="gatherings"
    )
    title = models.CharField(_("title"), max_length=100)
    stage = models.CharField(_("stage"), max_length=20, choices=Stage)
    plot = models.ForeignKey(
        Plot, models.PROTECT, null=True, blank=True, verbose_name=_("plot")
    )
    place = models.CharField(_("where to meet"), max_length=160)
    starts_at = models.DateTimeField(_("starts"))
    ends_at = models.DateTimeField(_("ends"))
    bring = models.CharField(_("what to bring"), max_length=300, blank=True)
    note = models.TextField(_("about the work"), max_length=2000, blank=True)
    lead = models.ForeignKey(
        Volunteer,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="led_gatherings",
        verbose_name=_("lead"),
    )
    first_aider = models.ForeignKey(
        Volunteer,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="first_aid_at",
        verbose_name=_("first-aider"),
        help_text=_("Somebody with first aid confirmed, and nothing else to do."),
    )
    run = models.ForeignKey(
        "gatherings.Run",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="gatherings",
        verbose_name=_("run of evenings"),
    )
    status = models.CharField(
        _("state"),
        max_length=10,
        choices=GatheringStatus,
        default=GatheringStatus.POSTED,
    )
    moved_from = models.DateTimeField(
        _("moved from"), null=True, blank=True, editable=False
    )
    moved_from_place = models.CharField(
        _("moved from, the place"), max_length=160, blank=True, editable=False
    )
    uid = models.CharField(max_length=64, unique=True, default=new_uid, editable=False)
    sequence = models.PositiveIntegerField(default=0, editable=False)
    revised_at = models.DateTimeField(_("last changed"), editable=False)
    entered_at = models.DateTimeField(
        _("entered afterwards"), null=True, blank=True, editable=False
    )
    closed_at = models.DateTimeField(
        _("closed"),
        null=True,
        blank=True,
        editable=False,
        help_text=_("Who came and what each pulled was gone through."),
    )
    visitors = models.PositiveIntegerField(
        _("visitors"),
        null=True,
        blank=True,
        editable=False,
        help_text=_("Who came to look, about how many. Empty: nobody counted."),
    )

    objects = GatheringQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(ends_at__gt=F("starts_at")),
                name="gathering_ends_after_it_starts",
                violation_error_message=_(
                    "The end is before the start. Check both times."
                ),
            ),
            models.CheckConstraint(
                condition=Q(status__in=GatheringStatus.values),
                name="gathering_status_known",
            ),
            models.CheckConstraint(
                condition=Q(stage__in=Stage.values), name="gathering_stage_known"
            ),
            models.CheckConstraint(
                condition=Q(moved_from__isnull=True) | ~Q(moved_from=F("starts_at")),
                name="gathering_moved_from_elsewhen",
            ),
            models.CheckConstraint(
                condition=Q(moved_from_place="") | ~Q(moved_from_place=F("place")),
                name="gathering_moved_from_elsewhere",
            ),
            models.CheckConstraint(
                condition=Q(visitors__isnull=True) | Q(visitors__lte=MOST_VISITORS),
                name="gathering_visitors_possible",
                violation_error_message=_(
                    "That is more visitors than could stand there. Check the number."
                ),
            ),
            models.CheckConstraint(
                condition=Q(entered_at__isnull=True) | Q(entered_at__gte=F("ends_at")),
                name="gathering_entered_after_its_end",
                violation_error_message=_(
                    "This was entered after the evening, so it can't end later "
                    "than that."
                ),
            ),
        ]
        indexes = [
            models.Index(fields=["demonstration", "starts_at"], name="gathering_by_day")
        ]

    class Privacy(Holds):
        lead = About(
            "led", _("Gatherings you led"), _("To say who is in charge."),
            "gathering=title starts_at",
            erased=Stays(), order="starts_at",
        )  # fmt: skip
        first_aider = About(
            "first_aid", _("Gatherings where you gave first aid"),
            _("To know who to call."),
            "gathering=title starts_at",
            erased=Stays(), order="starts_at",
        )  # fmt: skip
        called = _("gatherings led or with first aid")
        labels = {"title": _("gathering"), "starts_at": _("began")}
        words = FreeWords(_("a gathering"), "gatherings:edit")

    def __str__(self) -> str:
        return self.title

    def get_absolute_url(self) -> str:
        return reverse("gatherings:gathering", args=[self.demonstration.slug, self.pk])

    def marks(self) -> tuple[str, str]:
        """Return what tells a gathering from others of its title: its day, its time."""
        starts_at = self.starts_at.astimezone(self.demonstration.zone)
        day = date_format(starts_at, "j M Y")
        return day, f"{day}, {time_format(starts_at)}"

    @property
    def is_called_off(self) -> bool:
        return self.status == GatheringStatus.CALLED_OFF

    @property
    def has_moved(self) -> bool:
        """Whether it is at another time or place than was first announced."""
        return self.moved_from is not None or bool(self.moved_from_place)

    @property
    def grace_ends_at(self) -> datetime:
        """From when the places of those who have not come may be freed."""
        return self.starts_at + GRACE

    @property
    def is_posted(self) -> bool:
        return self.status == GatheringStatus.POSTED

    @property
    def is_draft(self) -> bool:
        return self.status == GatheringStatus.DRAFT


class StationQuerySet(OwnedQuerySet["Station"]):
    demonstration_path = "gathering__demonstration"

    def of_kind(self, kind: str) -> Self:
        return self.filter(kind=kind)

    def for_visitors(self, now: datetime) -> Self:
        """Keep open days' stations to come: stewards, and who talks to visitors."""
        kinds = [StationKind.STEWARD, StationKind.TALK]
        return self.filter(kind__in=kinds, gathering__ends_at__gt=now)

    def in_order(self) -> Self:
        return self.order_by("pk")

    def with_asked(self) -> Self:
        """Keep all, in order, with the briefing and the competence each asks."""
        return self.select_related("briefing", "competence").order_by("pk")

    def asking(self, briefing: Briefing, now: datetime) -> Iterable[Asking]:
        """Return who has a place to come that asks for a briefing, and where."""
        rows = self.filter(
            briefing=briefing,
            gathering__ends_at__gt=now,
            gathering__status=GatheringStatus.POSTED,
            sign_ups__status=SignUpStatus.HELD,
        ).order_by("gathering__starts_at", "pk")
        return rows.values_list(
            "sign_ups__volunteer", "gathering__title", "title", "gathering__starts_at"
        )

    def with_counts(self) -> Self:
        """Count for each the places held, the turns waited for, the answers due."""
        return self.annotate(
            held=Count("sign_ups", filter=Q(sign_ups__status=SignUpStatus.HELD)),
            waiting=Count("sign_ups", filter=Q(sign_ups__status=SignUpStatus.WAITING)),
            unanswered=Count("sign_ups", filter=Q(sign_ups__answer_by__isnull=False)),
        )


class Station(StationAsked):
    """One station of a gathering: how many it needs and what it asks of them."""

    gathering = models.ForeignKey(Gathering, models.CASCADE, related_name="stations")

    # Filled in by `with_counts` alone.
    held: int
    waiting: int
    unanswered: int

    objects = StationQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["gathering", "title"],
                name="station_title_once",
                violation_error_message=_(
                    "This gathering already has a station with that name."
                ),
            ),
            models.CheckConstraint(
                condition=Q(places__gte=1),
                name="station_has_a_place",
                violation_error_message=_("Enter at least 1 place."),
            ),
            models.CheckConstraint(
                condition=Q(fewest__lte=F("places")),
                name="station_fewest_within_places",
                violation_error_message=_(
                    "The fewest needed cannot be more than the places."
                ),
            ),
            models.CheckConstraint(
                condition=Q(kind__in=StationKind.values), name="station_kind_known"
            ),
            models.CheckConstraint(
                condition=Q(least_age__in=AgeBand.values), name="station_age_known"
            ),
        ]

    class Privacy(Holds):
        words = FreeWords(
            _("a station of a gathering"), "gatherings:edit", ["gathering"]
        )

    @property
    def work(self) -> StationKind:
        """The kind of work as a choice rather than its stored word."""
        return StationKind(self.kind)

    @property
    def root_end_words(self) -> str:
        """How beets stand in the dam here, at the stations that place them."""
        places = self.kind == StationKind.TREAD
        if not (places and self.gathering.stage == Stage.FILLING_THE_DAM):
            return ""
        return self.gathering.demonstration.get_root_end_display()


class PatternQuerySet(OwnedQuerySet["Pattern"]):
    def by_title(self) -> Self:
        return self.order_by("title", "pk")


class Pattern(models.Model):
    """A kind of gathering with its stations, from which others are posted."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="patterns"
    )
    title = models.CharField(_("title"), max_length=100)
    stage = models.CharField(_("stage"), max_length=20, choices=Stage)
    bring = models.CharField(_("what to bring"), max_length=300, blank=True)
    note = models.TextField(_("about the work"), max_length=2000, blank=True)

    objects = PatternQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["demonstration", "title"],
                name="pattern_title_once",
                violation_error_message=_(
                    "There is already a pattern with that name. Choose another."
                ),
            ),
            models.CheckConstraint(
                condition=Q(stage__in=Stage.values), name="pattern_stage_known"
            ),
        ]

    class Privacy(Holds):
        words = FreeWords(_("a pattern"), "gatherings:edit_pattern")

    def __str__(self) -> str:
        return self.title


class PatternStationQuerySet(OwnedQuerySet["PatternStation"]):
    demonstration_path = "pattern__demonstration"

    def in_order(self) -> Self:
        return self.order_by("pk")


class PatternStation(StationAsked):
    """One station of a pattern: how many it needs and what it asks of them."""

    pattern = models.ForeignKey(Pattern, models.CASCADE, related_name="stations")

    objects = PatternStationQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["pattern", "title"],
                name="pattern_station_title_once",
                violation_error_message=_(
                    "This pattern already has a station with that name."
                ),
            ),
            models.CheckConstraint(
                condition=Q(places__gte=1, fewest__lte=F("places")),
                name="pattern_station_fewest_within_places",
                violation_error_message=_(
                    "The fewest needed cannot be more than the places."
                ),
            ),
            models.CheckConstraint(
                condition=Q(kind__in=StationKind.values, least_age__in=AgeBand.values),
                name="pattern_station_choices_known",
            ),
        ]

    class Privacy(Holds):
        words = FreeWords(
            _("a station of a pattern"), "gatherings:edit_pattern", ["pattern"]
        )


class RunQuerySet(OwnedQuerySet["Run"]):
    def newest_first(self) -> Self:
        return self.order_by("-first_day", "-pk")

    def with_counts(self, now: datetime) -> Self:
        """Count the evenings of each, and those to come that are still on."""
        on = ~Q(gatherings__status=GatheringStatus.CALLED_OFF)
        to_come = Q(gatherings__starts_at__gt=now) & on
        return self.annotate(
            evenings=Count("gatherings"),
            to_come=Count("gatherings", filter=to_come),
        )

    def running(self, day: date) -> Self:
        return self.filter(last_day__gte=day, ended_at__isnull=True)


class Run(models.Model):
    """A run of evenings posted together: these weekdays, between these days."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="runs"
    )
    title = models.CharField(_("title"), max_length=100)
    weekdays = models.JSONField(
        _("on"), default=list, help_text=_("0 for Monday to 6 for Sunday.")
    )
    first_day = models.DateField(_("from"))
    last_day = models.DateField(_("last day"))
    starts = models.TimeField(_("starts"))
    ends = models.TimeField(_("ends"))
    left_out = models.JSONField(_("but not on"), default=list, blank=True)
    made_at = models.DateTimeField(_("posted at"))
    made_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    ended_at = models.DateTimeField(_("ended at"), null=True, blank=True)

    # Filled in by `with_counts` alone.
    evenings: int
    to_come: int

    objects = RunQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(last_day__gte=F("first_day")),
                name="run_goes_forward",
                violation_error_message=_("Choose a last day on or after the first."),
            )
        ]

    class Privacy(Holds):
        made_by = Wrote("runs", _("Evenings you posted together"), "title made_at")
        labels = {"title": _("run"), "made_at": _("made")}
        words = FreeWords(_("a run"), "gatherings:run")
        unsearched = {"weekdays": CODE, "left_out": CODE}

    def __str__(self) -> str:
        return self.title

    def get_absolute_url(self) -> str:
        return reverse("gatherings:run", args=[self.demonstration.slug, self.pk])


# The states in which a sign-up counts: one of them each, at one gathering.
LIVE = [SignUpStatus.HELD, SignUpStatus.WAITING]
# What of a gathering that is over is the record of who was there.
ATTENDED = Q(status=SignUpStatus.HELD, answer_by__isnull=True)
KEPT_FOR_CLAIMS = _(
    "The record of who was there is kept 3 years, by our own rule, for claims."
)
WHO_WAS_THERE = _("They belong to the record of who was there.")


class SignUpQuerySet(OwnedQuerySet["SignUp"]):
    demonstration_path = "gathering__demonstration"

    def held(self) -> Self:
        return self.filter(status=SignUpStatus.HELD)

    def waiting(self) -> Self:
        """Keep those in the queue, in the order of their turn."""
        return self.filter(status=SignUpStatus.WAITING).order_by("asked_at", "pk")

    def live(self) -> Self:
        """Keep the places and the turns that count."""
        return self.filter(status__in=LIVE)

    def not_come(self) -> Self:
        """Keep those whose place was freed because they had not come in time."""
        return self.filter(status=SignUpStatus.NOT_COME)

    def expected(self) -> Self:
        """Keep the places of those who may still come, in time or not."""
        return self.filter(status__in=[SignUpStatus.HELD, SignUpStatus.NOT_COME])

    def standing(self) -> Self:
        """Keep what nobody gave up."""
        return self.exclude(status=SignUpStatus.GIVEN_UP)

    def not_among(self, turnout: "TurnoutQuerySet") -> Self:
        """Keep those of people who are not on a turnout yet."""
        return self.exclude(volunteer__in=turnout.values("volunteer"))

    def over(self) -> Self:
        """Keep what counts no more: given up, or freed."""
        return self.exclude(status__in=LIVE)

    def unanswered(self) -> Self:
        """Keep the places of those who moved up and have yet to say that they come."""
        return self.filter(answer_by__isnull=False)

    def overdue(self, now: datetime) -> Self:
        """Keep the places not answered for in time, the longest overdue first."""
        return self.filter(answer_by__lte=now).order_by("answer_by", "pk")

    def for_answers(self) -> Self:
        """Keep all, with their station and where letters reach them."""
        return self.select_related(
            "station", "volunteer__user", "volunteer__guardian__user"
        )

    def asked_before(self, moment: datetime) -> Self:
        return self.filter(asked_at__lt=moment)

    def by(self, volunteer: Volunteer) -> Self:
        return self.filter(volunteer=volunteer)

    def by_any(self, people: Iterable[int]) -> Self:
        return self.filter(volunteer__in=list(people))

    def only_with(self, volunteer: Volunteer) -> Self:
        """Keep those of the children who come only with a volunteer, by name."""
        rows = self.filter(
            volunteer__guardian=volunteer, volunteer__age_band=AgeBand.UNDER_13
        )
        return rows.select_related("volunteer", "station").order_by(
            "volunteer__name", "pk"
        )

    def gone_with(self, entry: "SignUp") -> Self:
        """Keep those that were given up together with an adult's, by the adult."""
        return self.filter(
            volunteer__guardian=entry.volunteer_id,
            status=SignUpStatus.GIVEN_UP,
            changed_at=entry.changed_at,
        ).order_by("pk")

    def alone(self) -> Self:
        """Keep those of children under 13 beside whose no adult's stands.

        A place needs a place beside it; a turn needs a place or a turn.
        """
        beside = self.model._default_manager.filter(
            Q(status=SignUpStatus.HELD) | Q(status=OuterRef("status")),
            gathering=OuterRef("gathering"),
            volunteer=OuterRef("volunteer__guardian"),
        )
        children = self.filter(volunteer__age_band=AgeBand.UNDER_13)
        return children.exclude(Exists(beside))

    def answered_for_by(self, volunteer: Volunteer) -> Self:
        """Keep those of the volunteer and of the children they are guardian of."""
        return self.filter(Q(volunteer=volunteer) | Q(volunteer__guardian=volunteer))

    def at(self, station: "Station") -> Self:
        return self.filter(station=station)

    def at_any(self, gatherings: Iterable[Gathering]) -> Self:
        return self.filter(gathering__in=list(gatherings))

    def last_asked(self) -> datetime | None:
        """Return when the last of them asked."""
        last: datetime | None = self.aggregate(last=Max("asked_at"))["last"]
        return last

    def at_work(self, people: list[int], works: Iterable[str]) -> Self:
        """Keep some people's places at stations of some kinds, soonest first."""
        rows = self.filter(volunteer__in=people, station__kind__in=list(works))
        return rows.select_related("station", "gathering").order_by(
            "gathering__starts_at", "pk"
        )

    def to_come(self, moment: datetime) -> Self:
        """Keep those of posted gatherings that are not over."""
        return self.filter(
            gathering__ends_at__gt=moment, gathering__status=GatheringStatus.POSTED
        )

    def where_alone(self, child: Volunteer, now: datetime) -> str | None:
        """Return where a child under 13 has a place to come with no adult beside."""
        alone = self.by(child).live().to_come(now).alone()
        sign_up = alone.select_related("gathering").first()
        return sign_up.gathering.title if sign_up else None

    def posted(self) -> Self:
        """Keep the places and turns at posted gatherings, with when each ends."""
        rows = self.live().filter(gathering__status=GatheringStatus.POSTED)
        return rows.annotate(ends_at=F("gathering__ends_at"))

    def for_page(self) -> Self:
        """Keep all, in the order they asked, with who they are."""
        return self.select_related(
            "volunteer__guardian__user", "volunteer__user", "station__briefing"
        ).order_by("asked_at", "pk")

    def with_wishes(self) -> Self:
        """Read with each where else they would work."""
        return self.prefetch_related("also")

    def coming_up(self, now: datetime) -> Self:
        """Keep places and turns at gatherings that are not over, the next first."""
        posted = self.live().filter(gathering__ends_at__gt=now)
        return posted.order_by("gathering__starts_at", "volunteer__name", "pk")

    def past(self, now: datetime) -> Self:
        """Keep places and turns at gatherings that are over."""
        return self.filter(gathering__ends_at__lte=now)

    def with_turns(self) -> Self:
        """Count for each who waits at their station and asked before them."""
        before = Q(asked_at__lt=OuterRef("asked_at")) | Q(
            asked_at=OuterRef("asked_at"), pk__lt=OuterRef("pk")
        )
        ahead = (
            self.model._default_manager.filter(
                before, station=OuterRef("station"), status=SignUpStatus.WAITING
            )
            .order_by()
            .values("station")
            .annotate(count=Count("pk"))
            .values("count")
        )
        return self.annotate(ahead=Coalesce(Subquery(ahead), 0))


class SignUp(models.Model):
    """One volunteer's place at a station, or their turn in its waiting list."""

    gathering = models.ForeignKey(Gathering, models.PROTECT, related_name="sign_ups")
    station = models.ForeignKey(Station, models.PROTECT, related_name="sign_ups")
    volunteer = models.ForeignKey(Volunteer, models.PROTECT, related_name="sign_ups")
    status = models.CharField(_("state"), max_length=8, choices=SignUpStatus)
    asked_at = models.DateTimeField(_("asked at"))
    changed_at = models.DateTimeField(_("changed at"))
    answer_by = models.DateTimeField(
        _("to be answered by"),
        null=True,
        blank=True,
        help_text=_("Set when somebody moves up, until they say that they come."),
    )
    also = models.ManyToManyField(
        Station,
        related_name="also_wished",
        blank=True,
        verbose_name=_("would also work at"),
    )

    # Filled in by `with_turns` alone.
    ahead: int

    objects = SignUpQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["gathering", "volunteer"],
                condition=Q(status__in=LIVE),
                name="sign_up_one_live_each",
                violation_error_message=_("You are already signed up."),
            ),
            models.CheckConstraint(
                condition=Q(status__in=SignUpStatus.values), name="sign_up_status_known"
            ),
            models.CheckConstraint(
                condition=Q(answer_by__isnull=True) | Q(status=SignUpStatus.HELD),
                name="sign_up_only_held_is_answered",
            ),
        ]
        indexes = [
            models.Index(fields=["station", "status", "asked_at"], name="sign_up_queue")
        ]

    class Privacy(Holds):
        volunteer = About(
            "sign_ups", _("Places and turns"), _("To know who comes."),
            "gathering__title gathering__starts_at station__title state=status "
            "asked_at changed_at answer_by",
            erased=[
                Parted(
                    _("places coming up, which go to the next person"),
                    which=SignUpQuerySet.coming_up,
                ),
                Deleted(
                    _("places at gatherings that are over"), which=SignUpQuerySet.past
                ),
            ],
            merged=Meets(
                "gathering", _("Both have a place or turn at %s: the better one stays.")
            ),
            order="gathering__starts_at",
        )  # fmt: skip
        called = _("places and turns")
        rules = [
            Kept("places", "gathering__ends_at__lt", ~ATTENDED),
            Kept("attendance", "gathering__ends_at__lt", ATTENDED),
        ]

    def __str__(self) -> str:
        return f"{self.volunteer_id} at {self.station_id}: {self.status}"

    @property
    def is_held(self) -> bool:
        return self.status == SignUpStatus.HELD


class TurnoutQuerySet(OwnedQuerySet["Turnout"]):
    demonstration_path = "gathering__demonstration"

    def by_name(self) -> Self:
        return self.order_by("volunteer__name", "pk")

    def by(self, volunteer: Volunteer) -> Self:
        return self.filter(volunteer=volunteer)

    def with_people(self) -> Self:
        return self.select_related("volunteer__guardian").by_name()

    def here_at(self, moment: datetime) -> Self:
        """Keep those who are on the list and have not gone by a moment.

        When they came is not asked: who is on the list is here, even if a clock
        that was set back says that they come later.
        """
        return self.filter(Q(left_at__isnull=True) | Q(left_at__gt=moment))


class Turnout(models.Model):
    """That somebody came to a gathering, from when to when."""

    gathering = models.ForeignKey(Gathering, models.PROTECT, related_name="turnout")
    volunteer = models.ForeignKey(Volunteer, models.PROTECT, related_name="turnout")
    arrived_at = models.DateTimeField(_("came at"))
    left_at = models.DateTimeField(_("left at"), null=True, blank=True)

    objects = TurnoutQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["gathering", "volunteer"],
                name="turnout_once_each",
                violation_error_message=_("They are already on the list."),
            ),
            models.CheckConstraint(
                condition=Q(left_at__isnull=True) | Q(left_at__gte=F("arrived_at")),
                name="turnout_leaves_after_coming",
                violation_error_message=_(
                    "They leave before they came. Check both times."
                ),
            ),
        ]

    class Privacy(Holds):
        volunteer = About(
            "turnout", _("When you came"),
            _("To count everybody out in an emergency, and to record who was there."),
            "gathering__title gathering__starts_at arrived_at left_at",
            erased=Stays(_("when they came"), KEPT_FOR_CLAIMS),
            merged=Meets(
                "gathering",
                _("Both came to %s: the times become one, from first to last."),
            ),
            order="gathering__starts_at",
        )  # fmt: skip
        called = _("evenings they came to")
        rules = [Kept("attendance", "gathering__ends_at__lt")]

    def __str__(self) -> str:
        return f"{self.volunteer_id} at {self.gathering_id}"

    def is_here_at(self, moment: datetime) -> bool:
        """Whether they have not gone by a moment, as ``here_at`` asks it."""
        return self.left_at is None or self.left_at > moment


class CallQuerySet(OwnedQuerySet["Call"]):
    demonstration_path = "gathering__demonstration"

    def newest_first(self) -> Self:
        return self.select_related("made_by").order_by("-made_at", "-pk")

    def newest_of_each(self) -> Self:
        """Keep the one of each gathering that holds."""
        newest = (
            self.model._default_manager.filter(gathering=OuterRef("gathering"))
            .order_by("-made_at", "-pk")
            .values("pk")[:1]
        )
        return self.filter(pk=Subquery(newest))


# How each condition is written on a page.
WORDS = {
    "rain_mm_per_h": _("rain %s mm an hour"),
    "wind_ms": _("wind %s m/s"),
    "temp_c": _("%s °C"),
    "relative_humidity": _("humidity %s %%"),
    "minutes_since_thunder": _("thunder %s min ago"),
    "flash_to_bang_s": _("flash to bang %s s"),
    "canopy_wet_mm": _("water on the crop %s mm"),
    "light_hours": _("light for %s h"),
    "lodged_percent": _("%s %% lying flat"),
}
# What is so or not: the words for no, then for yes.
EITHER = {
    "crop_is_green": (_("crop ready"), _("crop still green")),
    "ground_is_soft": (_("ground firm"), _("ground soft")),
}


# What somebody must have said of the weather before anything is advised, and what of
# the crop and the ground is a reason to wait whatever the weather.
WEATHER = frozenset(WORDS) - {"light_hours", "lodged_percent"}


def is_advice(decision: str, conditions: Mapping[str, float]) -> bool:
    """Tell whether there was anything to go by: of itself the light only ends a day."""
    waits = any(conditions.get(name) for name in EITHER)
    return decision == Decision.OFF or waits or not WEATHER.isdisjoint(conditions)


def _condition(name: str, value: float) -> str:
    if name in EITHER:
        return str(EITHER[name][bool(value)])
    return str(WORDS[name]) % f"{value:.1f}".removesuffix(".0")


class Call(models.Model):
    """The decision on a gathering, with its reasons; the newest one holds."""

    gathering = models.ForeignKey(Gathering, models.PROTECT, related_name="calls")
    decision = models.CharField(_("decision"), max_length=4, choices=Decision)
    why_off = models.CharField(
        _("why it is off"), max_length=11, choices=WhyOff, blank=True
    )
    advice = models.CharField(
        _("what the figures advise"), max_length=4, choices=Decision
    )
    reasons = models.JSONField(_("reasons"), default=list)
    conditions = models.JSONField(_("conditions"), default=dict)
    sources = models.JSONField(
        _("where they were read"),
        default=dict,
        blank=True,
        help_text=_("Of each condition read from a forecast: for when, and when read."),
    )
    note = models.CharField(_("in the organiser's words"), max_length=300, blank=True)
    made_at = models.DateTimeField(_("made at"))
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT)
    key = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)

    objects = CallQuerySet.as_manager()

    class Meta:
        ordering = ["-made_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(decision__in=Decision.values, advice__in=Decision.values),
                name="call_decision_known",
            ),
            # Calls made before reasons were chosen have none, and count for nothing.
            models.CheckConstraint(
                condition=Q(why_off="")
                | Q(why_off__in=WhyOff.values, decision=Decision.OFF),
                name="call_why_off_known",
                violation_error_message=_("Give a reason only when you call it off."),
            ),
        ]

    class Privacy(Holds):
        made_by = Wrote(
            "calls", _("Decisions you made"), "gathering__title decision note made_at"
        )
        labels = {"note": _("note")}
        words = FreeWords(
            _("the call on a gathering"), "gatherings:call", ["gathering"], SEALED
        )
        unsearched = {"conditions": CODE, "sources": CODE}

    def __str__(self) -> str:
        return f"{self.gathering_id}: {self.decision}"

    @property
    def state(self) -> str:
        """How the evening stands, in a word or two."""
        return Decision(self.decision).state

    @property
    def why(self) -> str:
        """Why, in the words of whoever decided, or else the reason chosen."""
        if self.note or self.why_off in {"", WhyOff.OTHER}:
            return self.note
        return f"{self.get_why_off_display().capitalize()}."

    @property
    def is_advised(self) -> bool:
        """Whether anything but the light was known when it was decided."""
        return is_advice(self.advice, self.conditions)

    @property
    def conditions_in_words(self) -> list[str]:
        """What was weighed, each with the forecast it came from, if it did."""
        parts = []
        for name, value in self.conditions.items():
            words = _condition(name, value)
            source = self.sources.get(name)
            if source:
                words += " " + _("(forecast for %(hour)s, read at %(read)s)") % source
            parts.append(words)
        return parts


class RainAheadQuerySet(OwnedQuerySet["RainAhead"]):
    pass


class RainAhead(models.Model):
    """The rain of the forecast last read for a place: one row for each, kept fresh."""

    demonstration = models.OneToOneField(
        Demonstration, models.CASCADE, related_name="rain_ahead"
    )
    made_at = models.DateTimeField(_("forecast made at"))
    read_at = models.DateTimeField(_("read at"))
    hours = models.JSONField(
        _("hours"),
        default=dict,
        help_text=_("Millimetres of rain, by the hour's beginning."),
    )

    objects = RainAheadQuerySet.as_manager()

    class Privacy(Holds):
        unsearched = {"hours": CODE}

    def __str__(self) -> str:
        return f"{self.demonstration_id}: {self.read_at:%Y-%m-%d %H:%M}"

    def most_between(self, start: datetime, end: datetime) -> float | None:
        """Return the heaviest hour of a span, or None unless all of it is forecast."""
        hour = start.astimezone(UTC).replace(minute=0, second=0, microsecond=0)
        amounts = []
        while hour < end:
            rain = self.hours.get(hour.isoformat())
            if rain is None:
                return None
            amounts.append(float(rain))
            hour += timedelta(hours=1)
        return max(amounts)


class MusterQuerySet(OwnedQuerySet["Muster"]):
    demonstration_path = "gathering__demonstration"

    def open(self) -> Self:
        return self.filter(closed_at__isnull=True)

    def newest_first(self) -> Self:
        """Order by which was written last: a clock may have been set back since."""
        return self.order_by("-pk")

    def keyed(self, key: uuid.UUID) -> Self:
        return self.filter(key=key)

    def with_names(self) -> Self:
        return self.select_related("called_by", "closed_by")


class Muster(models.Model):
    """That everybody was called out of the field, and counted at the meeting point."""

    gathering = models.ForeignKey(Gathering, models.PROTECT, related_name="musters")
    key = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    why = models.CharField(_("why"), max_length=200, blank=True)
    called_at = models.DateTimeField(_("called at"))
    called_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )
    closed_at = models.DateTimeField(_("ended at"), null=True, blank=True)
    closed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )
    note = models.CharField(_("how it ended"), max_length=300, blank=True)

    objects = MusterQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["gathering"],
                condition=Q(closed_at__isnull=True),
                name="muster_one_open",
                violation_error_message=_("Everybody has already been called out."),
            ),
            models.CheckConstraint(
                condition=Q(closed_at__isnull=True) | Q(closed_at__gte=F("called_at")),
                name="muster_ends_after_it_is_called",
            ),
        ]

    class Privacy(Holds):
        called_by = Wrote(
            "head_counts_called", _("Head-counts you called"),
            "gathering__title why called_at",
        )  # fmt: skip
        closed_by = Counted(_("head-counts ended"), "closed_at")
        words = FreeWords(
            _("a head-count"), "gatherings:head_count", ["gathering"], SEALED
        )

    def __str__(self) -> str:
        return f"{self.gathering_id}: {self.called_at:%H:%M}"


class AwaitedQuerySet(OwnedQuerySet["Awaited"]):
    demonstration_path = "muster__gathering__demonstration"

    def with_people(self) -> Self:
        return self.select_related("volunteer__guardian")

    def of_person(self, volunteer: Volunteer) -> Self:
        return self.filter(volunteer=volunteer)


class Awaited(models.Model):
    """That one person was here when everybody was called out, or came while counted.

    It is written at the press and never worked out from times, so no clock can take
    anybody out of a head-count.
    """

    muster = models.ForeignKey(Muster, models.CASCADE, related_name="awaited")
    volunteer = models.ForeignKey(Volunteer, models.PROTECT, related_name="+")
    since = models.DateTimeField(_("to be counted from"))

    objects = AwaitedQuerySet.as_manager()

    class Meta:
        verbose_name_plural = "awaited"
        constraints = [
            models.UniqueConstraint(
                fields=["muster", "volunteer"], name="awaited_once_each"
            )
        ]

    class Privacy(Holds):
        volunteer = About(
            "awaited", _("Head-counts you were in"), _("To know who to look for."),
            "muster__gathering__title muster__called_at since",
            erased=Stays(_("head-counts"), WHO_WAS_THERE),
            merged=Meets(
                "muster", _("Both were counted at %s: the first time stays."), "since"
            ),
            order="since",
        )  # fmt: skip
        called = _("head-counts they were in")
        labels = {"since": _("counted from")}
        rules = [Kept("attendance", "muster__gathering__ends_at__lt")]

    def __str__(self) -> str:
        return f"{self.volunteer_id} at {self.muster_id}"


class SafeQuerySet(OwnedQuerySet["Safe"]):
    demonstration_path = "muster__gathering__demonstration"

    def for_page(self) -> Self:
        return self.select_related("volunteer__guardian", "seen_by").order_by("pk")

    def among(self, musters: MusterQuerySet) -> Self:
        return self.filter(muster__in=musters)

    def of_person(self, volunteer: Volunteer) -> Self:
        return self.filter(volunteer=volunteer)


class Safe(models.Model):
    """That one person was seen at the meeting point."""

    muster = models.ForeignKey(Muster, models.CASCADE, related_name="safe")
    volunteer = models.ForeignKey(Volunteer, models.PROTECT, related_name="+")
    seen_at = models.DateTimeField(_("seen at"))
    seen_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )

    objects = SafeQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["muster", "volunteer"], name="safe_once_each"
            )
        ]

    class Privacy(Holds):
        volunteer = About(
            "head_counts", _("Head-counts you were seen at"),
            _("To know that everybody is out."),
            "muster__gathering__title muster__called_at seen_at",
            erased=Stays(_("head-counts"), WHO_WAS_THERE),
            merged=Meets(
                "muster", _("Both were seen at %s: the first time stays."), "seen_at"
            ),
            order="seen_at",
        )  # fmt: skip
        seen_by = Counted(_("people seen at a meeting point"), "seen_at")
        called = _("head-counts they were seen at")
        labels = {"seen_at": _("seen at the meeting point")}
        rules = [Kept("attendance", "muster__gathering__ends_at__lt")]

    def __str__(self) -> str:
        return f"{self.volunteer_id} at {self.muster_id}"


class WeighingQuerySet(PersonalQuerySet["Weighing"]):
    def newest_first(self) -> Self:
        return self.select_related("volunteer", "weighed_by").order_by(
            "-weighed_at", "-pk"
        )

    def holding(self) -> Self:
        """Keep the newest of each person and work: it is the one that holds."""
        newest = (
            self.model._default_manager.filter(
                volunteer=OuterRef("volunteer"), work=OuterRef("work")
            )
            .order_by("-weighed_at", "-pk")
            .values("pk")[:1]
        )
        return self.filter(pk=Subquery(newest))

    def on(self, volunteer: Volunteer) -> Self:
        """Keep what holds of one person, the newest first."""
        return self.filter(volunteer=volunteer).holding().newest_first()

    def among(self, people: list[int]) -> Self:
        """Keep those about some people, who are named by their keys."""
        return self.filter(volunteer__in=people)


class Weighing(models.Model):
    """That an organiser weighed whether one young person may do one kind of work.

    The rule behind it is `AgeRule.review_below`. Nothing is corrected by changing a
    row: the newest decision on a person and a work holds, and the older ones stay.
    """

    volunteer = models.ForeignKey(Volunteer, models.CASCADE, related_name="weighings")
    work = models.CharField(_("work"), max_length=10, choices=StationKind)
    may = models.BooleanField(_("they may"))
    why = models.CharField(_("what was weighed"), max_length=400)
    weighed_at = models.DateTimeField(_("decided at"))
    weighed_by = models.ForeignKey(User, models.PROTECT, related_name="+")

    objects = WeighingQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(work__in=StationKind.values), name="weighing_work_known"
            ),
            models.CheckConstraint(
                condition=~Q(why=""),
                name="weighing_has_reasons",
                violation_error_message=_("Say what you considered."),
            ),
        ]

    class Privacy(Holds):
        volunteer = About(
            "weighings", _("What an organiser weighed of work you may do"),
            _("To keep young people from work that is too much for them."),
            "work may why weighed_at",
            erased=Deleted(), order="weighed_at",
        )  # fmt: skip
        weighed_by = Counted(_("work of the young weighed"), "weighed_at")
        called = _("decisions on work they may do")
        labels = {"may": _("may")}
        words = FreeWords(
            _("a decision on somebody else's work"), "gatherings:weighings", [], SEALED
        )
        rules = [Kept("attendance", "weighed_at__lt")]

    def __str__(self) -> str:
        return f"{self.volunteer_id}: {self.work}"
