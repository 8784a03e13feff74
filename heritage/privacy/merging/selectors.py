"""Two lines of one person: what each holds, what meets, and what forbids it."""

from collections.abc import Iterator
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from heritage.briefings.models import Acknowledgement
from heritage.dam.models import Treader
from heritage.fieldlog.models import Receipt
from heritage.gatherings.models import (
    Awaited,
    Gathering,
    Safe,
    SignUp,
    Turnout,
    Weighing,
)
from heritage.grounds.models import StewardPost
from heritage.incidents.models import Incident
from heritage.people.models import (
    AgeBand,
    Agreement,
    HealthNote,
    Invitation,
    Letter,
    Skill,
    Volunteer,
    VolunteerQuerySet,
)
from heritage.pictures.models import Picture
from heritage.privacy.models import Erasure, Merge
from heritage.season.models import Demonstration
from heritage.tally.models import Entry, OwnLog, Work

# Rows that simply go over: the model, and the field that leads to the person.
PLAIN = [
    (Letter, "volunteer"),
    (Invitation, "volunteer"),
    (Receipt, "volunteer"),
    (Incident, "volunteer"),
    (StewardPost, "volunteer"),
    (Weighing, "volunteer"),
    (Gathering, "lead"),
    (Gathering, "first_aider"),
    (Volunteer, "guardian"),
    (Volunteer, "merged_into"),
    (Merge, "kept"),
    (Acknowledgement, "read_by"),
    (Erasure, "volunteer"),
]
# Rows of which a person has one for each of something: what that is.
MEETING = [
    (SignUp, "gathering"),
    (Turnout, "gathering"),
    (Treader, "turn"),
    (Acknowledgement, "version"),
    (Skill, "competence"),
    (Agreement, "wording"),
    (Awaited, "muster"),
    (Safe, "muster"),
    (HealthNote, "volunteer"),
]
# Sealed: countered and entered anew.
SEALED = [(Entry, "volunteer"), (Work, "volunteer"), (OwnLog, "volunteer")]
MARKS = [(Picture, "people")]
# Fields to a person that a merge does not carry over, each with the reason.
NOT_CARRIED = {"privacy.Merge.gone": "It says which line went into which."}
LONGEST_NOTE = 600
# What the page calls rows whose own name a reader would not know.
CALLED = {
    Receipt: _lazy("slips from the field"),
    StewardPost: _lazy("posts as a steward"),
    Weighing: _lazy("decisions on work they may do"),
    Gathering: _lazy("gatherings led or with first aid"),
    Volunteer: _lazy("children, and lines merged before"),
    SignUp: _lazy("places and turns"),
    Turnout: _lazy("evenings they came to"),
    Treader: _lazy("turns of treading"),
    Acknowledgement: _lazy("briefings heard"),
    Skill: _lazy("what they can do"),
    Awaited: _lazy("head-counts they were in"),
    Safe: _lazy("head-counts they were seen at"),
    Entry: _lazy("lines of beets"),
    Work: _lazy("lines of other work"),
    OwnLog: _lazy("own logs"),
    Erasure: _lazy("times they asked to be erased"),
}


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


def merges_page(demonstration: Demonstration) -> MergesPage:
    """List who may be picked, and the merges: two queries."""
    rows = pickable(demonstration)
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
        yield _("Choose two lines: this is one and the same.")
    if gone.demonstration_id != kept.demonstration_id:
        yield _("They belong to two demonstrations.")
    for person in (gone, kept):
        if person.erased_at or person.merged_into_id:
            yield _("%s was erased or merged before.") % person
    if gone.guardian_id == kept.pk or kept.guardian_id == gone.pk:
        yield _("One answers for the other, so they are two people.")
    adult = kept.age_band == AgeBand.ADULT
    if adult and gone.age_band != AgeBand.ADULT:
        yield _("Keep the child's line instead, so that its guardian is not lost.")
    if not adult and (gone.is_organiser or gone.children.exists()):
        yield _("A child cannot organise or answer for a child.")
    if Erasure.objects.open().about(gone).exists():
        yield _("%s asks to be erased. Answer that first.") % gone
    if len(joined_note(gone, kept)) > LONGEST_NOTE:
        yield _("Their two health notes are too long together. Shorten one first.")


def joined_note(gone: Volunteer, kept: Volunteer) -> str:
    """Return the words of both health notes."""
    rows = HealthNote.objects.filter(volunteer__in=[gone, kept]).order_by("pk")
    return "\n".join(dict.fromkeys(rows.values_list("text", flat=True)))


def _side(volunteer: Volunteer) -> Side:
    kinds = [
        *PLAIN,
        *((model, "volunteer") for model, _key in MEETING),
        *SEALED,
        *MARKS,
    ]
    found: dict[str, int] = {}
    for model, path in kinds:
        rows = model._default_manager.filter(**{path: volunteer})
        words = str(CALLED.get(model, model._meta.verbose_name_plural))
        found[words] = found.get(words, 0) + rows.count()
    return Side(volunteer, tuple(pair for pair in found.items() if pair[1]))


def _meets(gone: Volunteer, kept: Volunteer) -> Iterator[str]:
    """Say where both have a row of the same, of which one person has one."""
    said = {
        SignUp: _("Both have a place or turn at %s: the better one stays."),
        Turnout: _("Both came to %s: the times become one, from first to last."),
        Treader: _("Both answered for %s: they trod or are on if either line is."),
        Acknowledgement: _("Both heard %s: the first time stays."),
        Skill: _("Both can do %s: the confirmed one stays."),
        Agreement: _("Both agreed to %s: the first time stays."),
        Awaited: _("Both were counted at %s: the first time stays."),
        Safe: _("Both were seen at %s: the first time stays."),
    }
    for model, words in said.items():
        key = dict(MEETING)[model]
        rows = model._default_manager.filter(volunteer=gone).select_related(key)
        theirs = model._default_manager.filter(volunteer=kept).values(key)
        for row in rows.filter(**{f"{key}__in": theirs}).order_by("pk"):
            yield words % getattr(row, key)
    if gone.user_id and kept.user_id:
        yield _("Both have an account: that of the line that goes is not joined here.")
