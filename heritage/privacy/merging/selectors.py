"""Two lines of one person: what each holds, what meets, and what forbids it."""

from collections.abc import Iterator
from dataclasses import dataclass

from django.db.models import Model
from django.utils.translation import gettext as _

from heritage.common.privacy import Meets, Merged
from heritage.people.models import (
    AgeBand,
    HealthNote,
    Volunteer,
    VolunteerQuerySet,
)
from heritage.people.selectors import is_wanted
from heritage.privacy.models import Erasure, Merge
from heritage.privacy.selectors import called, of_a_line
from heritage.season.models import Demonstration

LONGEST_NOTE = 600


@dataclass(frozen=True, slots=True)
class Side:
    """One of the two lines, with what it holds."""

    volunteer: Volunteer
    holds: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class Merging:
    """What merging one line into another would do."""

    gone: Side
    kept: Side
    meets: tuple[str, ...]
    hindered: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class MergesPage:
    """Everybody to pick from, and what was merged before."""

    people: tuple[Volunteer, ...]
    done: tuple[Merge, ...]


def merges_page(demonstration: Demonstration, wanted: str = "") -> MergesPage:
    """List who may be picked by a part of their name, and the merges: two queries."""
    rows = [one for one in pickable(demonstration) if is_wanted(one, wanted)]
    done = Merge.objects.of(demonstration).newest_first()
    return MergesPage(tuple(rows), tuple(done))


def pickable(demonstration: Demonstration) -> VolunteerQuerySet:
    """Keep the lines that may be merged: neither merged nor erased."""
    rows = Volunteer.objects.of(demonstration).unmerged()
    return rows.filter(erased_at__isnull=True).by_name()


def merging(gone: Volunteer, kept: Volunteer) -> Merging:
    """Say what each holds and where they meet: a fixed number of queries."""
    return Merging(
        gone=_side(gone),
        kept=_side(kept),
        meets=tuple(_meets(gone, kept)),
        hindered=tuple(hindrances(gone, kept)),
    )


def hindrances(gone: Volunteer, kept: Volunteer) -> Iterator[str]:
    """Say what forbids the merge, and how to mend it."""
    if gone.pk == kept.pk:
        yield _("Choose two names: these are one and the same.")
    if gone.demonstration_id != kept.demonstration_id:
        yield _("They belong to two demonstrations.")
    for person in (gone, kept):
        if person.erased_at or person.merged_into_id:
            yield _("%s was deleted or joined before.") % person
    if gone.guardian_id == kept.pk or kept.guardian_id == gone.pk:
        yield _("One is the other's guardian, so they are two people.")
    adult = kept.age_band == AgeBand.ADULT
    if adult and gone.age_band != AgeBand.ADULT:
        yield _("Keep the child's entry instead, so that the guardian isn't lost.")
    if not adult and (gone.is_organiser or gone.children.exists()):
        yield _("A child cannot organise or answer for a child.")
    if Erasure.objects.open().about(gone).exists():
        yield _("%s asks to be deleted. Answer that first.") % gone
    if len(joined_note(gone, kept)) > LONGEST_NOTE:
        yield _("Their two health notes are too long together. Shorten one first.")


def joined_note(gone: Volunteer, kept: Volunteer) -> str:
    """Return the words of both health notes."""
    rows = HealthNote.objects.filter(volunteer__in=[gone, kept]).order_by("pk")
    return "\n".join(dict.fromkeys(rows.values_list("text", flat=True)))


def _side(volunteer: Volunteer) -> Side:
    counts: dict[str, int] = {}
    for model, field, merged in of_a_line():
        if merged != Merged.STAYS:
            rows = model._default_manager.filter(**{field: volunteer})
            words = called(model)
            counts[words] = counts.get(words, 0) + rows.count()
    return Side(volunteer, tuple(pair for pair in counts.items() if pair[1]))


def meetings() -> Iterator[tuple[type[Model], str, Meets]]:
    """Go through the rows of which a person has one for each of something."""
    for model, field, merged in of_a_line():
        if isinstance(merged, Meets):
            yield model, field, merged


def _meets(gone: Volunteer, kept: Volunteer) -> Iterator[str]:
    """Say where both have a row of the same, of which one person has one."""
    for model, field, meets in meetings():
        rows = model._default_manager.filter(**{field: gone})
        theirs = model._default_manager.filter(**{field: kept}).values(meets.key)
        both = rows.filter(**{f"{meets.key}__in": theirs})
        for row in both.select_related(meets.key).order_by("pk"):
            yield meets.words % getattr(row, meets.key)
    if gone.user_id and kept.user_id:
        yield _("Both have an account: that of the line that goes is not joined here.")
