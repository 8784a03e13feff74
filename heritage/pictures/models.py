"""The picture record.

Each person who can be recognised is named before a picture is shown: "they agreed"
could be ticked for nobody in particular, and nothing be taken down when somebody asked.
Whom an erasure hid no press shows again: with the marks gone nobody can tell whom a
picture shows, so the picture itself is closed (`hidden_at`); another one, with that
person cut out, is another file.
"""

from collections.abc import Iterable, Mapping
from typing import Any, Self

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _

from heritage.common.models import (
    ManagedQuerySet,
    OwnedQuerySet,
    Viewer,
    demonstrations_of,
    private_key,
)
from heritage.common.privacy import (
    KEY,
    SEALED,
    About,
    Counted,
    FreeWords,
    Holds,
    Merged,
    Parted,
    Wrote,
)
from heritage.gatherings.models import Gathering
from heritage.growth.models import Observation
from heritage.kits.imaging import SMALL, TINY, Adjusted
from heritage.lots.models import Lot
from heritage.machines.models import Machine
from heritage.people.models import (
    AgeBand,
    AgreedHow,
    Agreement,
    Subject,
    User,
    Volunteer,
    VolunteerQuerySet,
)
from heritage.season.models import Demonstration, Plot, Stage, Tool


class Licence(models.TextChoices):
    """What others may do with a picture: the photographer chooses."""

    CC_BY = "CC-BY-4.0", _("Creative Commons: credit the photographer")
    CC_BY_SA = "CC-BY-SA-4.0", _("Creative Commons: credit, and share alike")
    CC0 = "CC0-1.0", _("given to everybody")
    RESERVED = "reserved", _("all rights reserved")


class Shown(models.TextChoices):
    """Who can be recognised in a picture, and whether they agreed."""

    NOBODY = "nobody", _("nobody can be recognised")
    AGREED = "agreed", _("adults, who have agreed to be shown")
    GUARDIAN_AGREED = "guardian", _("a child, with the guardian's written permission")
    UNASKED = "unasked", _("somebody who has not been asked")


class Shot(models.TextChoices):
    """What a picture of a stage is of: together they tell the work."""

    WORK = "work", _("the work")
    HANDS = "hands", _("hands, close up")
    TOOL = "tool", _("the tool")
    WHOLE = "whole", _("the whole place")
    PEOPLE = "people", _("people who agreed")
    BEFORE = "before", _("before")
    AFTER = "after", _("after")


class PictureQuerySet(OwnedQuerySet["Picture"]):
    def visible_to(self, user: Viewer) -> Self:
        """Keep published pictures, and all of the user's own demonstrations."""
        published = Q(is_published=True, demonstration__is_public=True)
        return self.filter(published | Q(demonstration__in=demonstrations_of(user)))

    def editable_by(self, user: Viewer) -> Self:
        """Keep the user's own pictures, and an organiser's all."""
        if not isinstance(user, User):
            return self.none()
        mine = Q(added_by=user, demonstration__in=demonstrations_of(user))
        organised = Q(demonstration__in=demonstrations_of(user, organised=True))
        return self.filter(mine | organised)

    def showing(self, volunteer: Volunteer) -> Self:
        """Keep those in which somebody is marked."""
        return self.filter(people=volunteer)

    def to_look_through(self) -> Self:
        """Keep those that visitors do not see yet, and may see one day."""
        return self.filter(is_published=False, hidden_at__isnull=True)

    def published(self) -> Self:
        return self.filter(is_published=True)

    def for_the_press(self) -> Self:
        return self.filter(for_press=True)

    def not_closed(self) -> Self:
        """Keep those that no erasure has closed."""
        return self.filter(hidden_at__isnull=True)

    def in_order(self) -> Self:
        return self.order_by("taken_on", "pk")

    def at_stage(self, stage: str) -> Self:
        return self.filter(stage=stage)

    def in_place(self) -> Self:
        """Order as chosen within a stage; what nobody has placed follows by day."""
        return self.order_by(F("place").asc(nulls_last=True), "taken_on", "pk")

    def tools(self) -> set[str]:
        """Return the codes of the tools that pictures are of: one query."""
        rows = self.exclude(tool="").order_by().values_list("tool", flat=True)
        return set(rows.distinct())

    def of_tools(self, tools: Iterable[Tool]) -> Self:
        """Keep the pictures of some tools, in their order."""
        rows = self.filter(tool__in=list(tools)).in_place()
        return rows.select_related("demonstration")

    def narrowed(self, asked: Mapping[str, Any]) -> Self:
        """Keep those of a ``stage``, ``tool``, ``evening`` or ``person``, and so on.

        The time is ``since`` a day and ``until`` another, both with it; ``without``
        keeps those that lack their words.
        """
        lookups = {
            "stage": "stage",
            "tool": "tool",
            "evening": "gathering",
            "person": "people",
            "since": "taken_on__gte",
            "until": "taken_on__lte",
        }
        given = {path: asked[name] for name, path in lookups.items() if asked.get(name)}
        rows = self.without_words() if asked.get("without") else self
        return rows.filter(**given)

    def at_stages(self, stages: Iterable[str]) -> Self:
        return self.filter(stage__in=list(stages)).select_related("demonstration")

    def without_words(self) -> Self:
        """Keep those that lack a caption or a description, the oldest first."""
        rows = self.filter(Q(caption="") | Q(alt_text=""), hidden_at__isnull=True)
        return rows.in_order()

    def newest_first(self) -> Self:
        return self.order_by("-taken_on", "-pk")

    def of_lot(self, lot: Lot) -> Self:
        """Keep the pictures of a lot, the newest first."""
        return self.filter(lot=lot).select_related("demonstration").newest_first()

    def of_observations(
        self, rows: Iterable[Observation]
    ) -> dict[int, list["Picture"]]:
        """Return the pictures of some observations, by observation: one query."""
        found: dict[int, list[Picture]] = {}
        pictures = self.filter(observation__in=[row.pk for row in rows])
        for one in pictures.select_related("demonstration").newest_first():
            found.setdefault(one.observation_id or 0, []).append(one)
        return found

    def same_file(self, sha256: str) -> Self:
        return self.filter(sha256=sha256)

    def same_files(self, marks: Iterable[str]) -> Self:
        return self.filter(sha256__in=list(marks))


def original_path(picture: "Picture", name: str) -> str:
    """Name the stored original by its own key: the sender's file name is not kept."""
    return f"{picture.demonstration_id}/originals/{picture.key}"


def shown_path(picture: "Picture", name: str) -> str:
    """Name the re-encoded picture by its own key."""
    return f"{picture.demonstration_id}/pictures/{picture.key}-{name}"


class Picture(models.Model):
    """A photograph with its caption, alternative text, date, stage and consent."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="pictures"
    )
    gathering = models.ForeignKey(
        Gathering, models.PROTECT, null=True, blank=True, related_name="pictures"
    )
    lot = models.ForeignKey(
        Lot,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="pictures",
        verbose_name=_("lot"),
    )
    plot = models.ForeignKey(
        Plot,
        models.SET_NULL,
        null=True,
        blank=True,
        related_name="pictures",
        verbose_name=_("plot"),
    )
    machine = models.ForeignKey(
        Machine,
        models.SET_NULL,
        null=True,
        blank=True,
        related_name="pictures",
        verbose_name=_("machine"),
    )
    observation = models.ForeignKey(
        Observation,
        models.SET_NULL,
        null=True,
        blank=True,
        related_name="pictures",
        verbose_name=_("what was seen of the crop"),
    )
    stage = models.CharField(_("stage"), max_length=20, choices=Stage)
    key = models.CharField(
        max_length=40, unique=True, default=private_key, editable=False
    )
    original = models.FileField(upload_to=original_path)
    large = models.FileField(upload_to=shown_path)
    small = models.FileField(upload_to=shown_path)
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    sha256 = models.CharField(max_length=64)
    caption = models.CharField(_("caption"), max_length=300, blank=True)
    alt_text = models.CharField(
        _("in words, for somebody who can't see it"), max_length=400, blank=True
    )
    shot = models.CharField(_("what of"), max_length=6, choices=Shot, blank=True)
    tool = models.CharField(_("tool"), max_length=16, choices=Tool, blank=True)
    keywords = models.CharField(
        _("keywords"),
        max_length=400,
        blank=True,
        help_text=_("With commas between them, like: rippling comb, evening light."),
    )
    # Within its stage, from 1; the first stands for the stage.
    place = models.PositiveIntegerField(_("place"), null=True, editable=False)
    turned = models.PositiveSmallIntegerField(
        _("turned"),
        choices=[
            (0, _("as it is")),
            (90, _("to the right")),
            (180, _("upside down")),
            (270, _("to the left")),
        ],
        default=0,
    )
    trim_left = models.PositiveSmallIntegerField(
        _("off the left, in percent"), default=0
    )
    trim_top = models.PositiveSmallIntegerField(_("off the top, in percent"), default=0)
    trim_right = models.PositiveSmallIntegerField(
        _("off the right, in percent"), default=0
    )
    trim_bottom = models.PositiveSmallIntegerField(
        _("off the bottom, in percent"), default=0
    )
    # Squares by their number (`kits.imaging.GRID`) of which the copies show nothing.
    hidden_squares = models.JSONField(default=list, blank=True, editable=False)
    taken_on = models.DateField(_("taken on"))
    credit = models.CharField(_("photographer"), max_length=120)
    licence = models.CharField(
        _("licence"), max_length=14, choices=Licence, default=Licence.RESERVED
    )
    shown = models.CharField(
        _("people in it"), max_length=8, choices=Shown, default=Shown.UNASKED
    )
    recognisable = models.PositiveSmallIntegerField(
        _("how many people can be recognised"),
        null=True,
        blank=True,
        help_text=_(
            "Visitors see the picture once each of them is marked below and has "
            "agreed, or has a permission on paper."
        ),
    )
    people = models.ManyToManyField(
        Volunteer,
        related_name="pictures",
        blank=True,
        verbose_name=_("who is in it"),
        help_text=_(
            "Never shown to visitors. It lets a picture be taken down at once when "
            "somebody in it asks."
        ),
    )
    is_published = models.BooleanField(_("on the public page"), default=False)
    for_press = models.BooleanField(_("cleared for the press"), default=False)
    hidden_at = models.DateTimeField(_("hidden for good"), null=True, editable=False)
    added_at = models.DateTimeField(_("added at"))
    added_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT)
    worded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        null=True,
        editable=False,
        related_name="+",
        verbose_name=_("words last changed by"),
    )

    objects = PictureQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(for_press=False) | Q(is_published=True),
                name="picture_press_only_shown",
                violation_error_message=_(
                    "Show the picture to visitors before you clear it for the press."
                ),
            ),
            models.UniqueConstraint(
                fields=["demonstration", "sha256"],
                name="picture_once",
                violation_error_message=_("This picture is already here."),
            ),
            models.CheckConstraint(
                condition=Q(is_published=False)
                | (
                    ~Q(caption="")
                    & ~Q(alt_text="")
                    & ~Q(shown=Shown.UNASKED)
                    & (Q(shown=Shown.NOBODY) | Q(recognisable__gte=1))
                ),
                name="picture_published_with_words_and_consent",
                violation_error_message=_(
                    "Before visitors see a picture, add its caption and a "
                    "description in words, and get the agreement of everybody "
                    "who can be recognised."
                ),
            ),
            models.CheckConstraint(
                condition=Q(is_published=False) | Q(hidden_at__isnull=True),
                name="picture_hidden_stays_hidden",
                violation_error_message=_(
                    "Somebody in this picture was deleted, so it stays hidden."
                ),
            ),
            models.CheckConstraint(
                condition=Q(shot__in=["", *Shot.values]), name="picture_shot_known"
            ),
            models.CheckConstraint(
                condition=Q(tool__in=["", *Tool.values]), name="picture_tool_known"
            ),
            models.CheckConstraint(
                condition=Q(
                    turned__in=[0, 90, 180, 270],
                    trim_left__lte=45,
                    trim_top__lte=45,
                    trim_right__lte=45,
                    trim_bottom__lte=45,
                ),
                name="picture_trimmed_not_away",
                violation_error_message=_("Trim at most 45 percent off each side."),
            ),
            models.CheckConstraint(
                condition=Q(stage__in=Stage.values), name="picture_stage_known"
            ),
            models.CheckConstraint(
                condition=Q(licence__in=Licence.values, shown__in=Shown.values),
                name="picture_choices_known",
            ),
        ]

    class Privacy(Holds):
        people = About(
            "pictures", _("Pictures you are in"),
            _("So that they can be taken down when you ask."),
            "taken_on caption credit published=is_published",
            erased=Parted(_("marks in pictures")), merged=Merged.OWN_WAY,
            order="taken_on",
        )  # fmt: skip
        added_by = Wrote(
            "pictures_added", _("Pictures you added"), "caption credit added_at"
        )
        worded_by = Counted(_("pictures whose words you changed"), "added_at")
        labels = {"taken_on": _("taken"), "is_published": _("shown to visitors")}
        words = FreeWords(_("a picture"), "pictures:edit")
        unsearched = {"sha256": KEY}

    def __str__(self) -> str:
        return self.caption or _now("a picture without a caption")

    def get_absolute_url(self) -> str:
        return reverse("pictures:picture", args=[self.demonstration.slug, self.pk])

    @property
    def adjusted(self) -> Adjusted:
        """How the copies differ from the original."""
        sides = (self.trim_left, self.trim_top, self.trim_right, self.trim_bottom)
        return Adjusted(self.turned, sides, tuple(self.hidden_squares))

    @property
    def keyword_list(self) -> list[str]:
        return [word for word in self.keywords.split(", ") if word]

    @property
    def large_url(self) -> str:
        """The address of the picture for a page of its own."""
        return self._file_url("large")

    @property
    def small_url(self) -> str:
        """The address of the picture for a page of many."""
        return self._file_url("small")

    @property
    def tiny_url(self) -> str:
        """The address of the picture where several stand beside each other."""
        return self._file_url("tiny")

    @property
    def tiny_width(self) -> int:
        return self._fitting(TINY)

    def _file_url(self, size: str) -> str:
        return reverse("pictures:file", args=[self.demonstration.slug, self.key, size])

    @property
    def small_width(self) -> int:
        """The width of the small copy, which keeps the large one's shape."""
        return self._fitting(SMALL)

    @property
    def small_height(self) -> int:
        return round(self.height * min(1.0, SMALL / max(self.width, self.height)))

    def _fitting(self, longest: int) -> int:
        """Return the width of a copy whose longer side is ``longest``, in dots."""
        return round(self.width * min(1.0, longest / max(self.width, self.height)))


class PaperPermissionQuerySet(OwnedQuerySet["PaperPermission"]):
    demonstration_path = "picture__demonstration"

    def by_name(self) -> Self:
        return self.order_by("name", "pk")


class PaperPermission(models.Model):
    """A signed permission for one picture, of somebody who is not marked in it."""

    picture = models.ForeignKey(Picture, models.CASCADE, related_name="permissions")
    name = models.CharField(_("who can be recognised"), max_length=120)
    guardian = models.CharField(
        _("parent or guardian who signed"),
        max_length=120,
        blank=True,
        help_text=_("Only for a child."),
    )
    signed_on = models.DateField(_("signed on"))
    kept_where = models.CharField(
        _("where the paper is kept"),
        max_length=200,
        help_text=_("For example: the green folder at the old school."),
    )
    added_at = models.DateTimeField(_("added at"))
    added_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT)

    objects = PaperPermissionQuerySet.as_manager()

    class Meta:
        verbose_name = _("permission on paper")
        verbose_name_plural = _("permissions on paper")
        constraints = [
            models.UniqueConstraint(
                fields=["picture", "name"],
                name="paper_permission_once",
                violation_error_message=_("Their permission is already there."),
            ),
            models.CheckConstraint(
                condition=~Q(name="") & ~Q(kept_where=""),
                name="paper_permission_named_and_kept",
                violation_error_message=_("Enter a name, and where the paper is."),
            ),
        ]

    class Privacy(Holds):
        added_by = Counted(_("permissions on paper for pictures"), "added_at")
        words = FreeWords(
            _("a permission on paper for a picture"), "pictures:picture", ["picture"]
        )

    def __str__(self) -> str:
        return self.name


class DeletedPictureQuerySet(ManagedQuerySet["DeletedPicture"]):
    def newest_first(self) -> Self:
        return self.order_by("-deleted_at", "-pk")

    def same_file(self, sha256: str) -> Self:
        return self.filter(sha256=sha256)


class DeletedPicture(models.Model):
    """That a picture was deleted, by whom and why; nothing of the picture is kept.

    The mark of its file stays, so that the same file is not added again by mistake.
    """

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="deleted_pictures"
    )
    sha256 = models.CharField(_("mark of the file"), max_length=64)
    reason = models.CharField(
        _("why"),
        max_length=300,
        help_text=_("These words are kept. Don't name anybody."),
    )
    deleted_at = models.DateTimeField(_("deleted at"))
    deleted_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT)

    objects = DeletedPictureQuerySet.as_manager()

    class Meta:
        verbose_name = _("deleted picture")
        verbose_name_plural = _("deleted pictures")
        constraints = [
            models.CheckConstraint(
                condition=~Q(reason=""),
                name="deleted_picture_with_a_reason",
                violation_error_message=_("Say why you are deleting it."),
            ),
        ]

    class Privacy(Holds):
        deleted_by = Wrote(
            "pictures_deleted", _("Pictures you deleted"), "reason deleted_at"
        )
        words = FreeWords(_("why a picture was deleted"), "pictures:list", [], SEALED)
        unsearched = {"sha256": KEY}

    def __str__(self) -> str:
        return self.reason


def not_agreed(people: VolunteerQuerySet) -> VolunteerQuerySet:
    """Keep those without a standing agreement to be shown in photographs.

    A child's agreement counts when the guardian gave it, or it was signed on paper;
    from 16 somebody's own word counts too.
    """
    standing = Agreement.objects.standing().on(Subject.PHOTOGRAPH)
    answered = standing.filter(
        Q(volunteer__age_band=AgeBand.ADULT)
        | Q(given_by=F("volunteer__guardian__user"))
        | Q(volunteer__age_band=AgeBand.FROM_16, given_by=F("volunteer__user"))
        | Q(how=AgreedHow.PAPER)
    )
    return people.exclude(pk__in=answered.values("volunteer"))
