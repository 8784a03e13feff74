"""Merging two lines of the same person, so that nothing is lost or counted twice."""

from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

import heritage.gatherings.services as gatherings
import heritage.pictures.services as pictures
from heritage.common.models import private_key
from heritage.people.models import AgeBand, HealthNote, Invitation, User, Volunteer
from heritage.people.services.answering import require_organiser
from heritage.pictures.models import not_agreed
from heritage.privacy.models import Merge
from heritage.privacy.selectors.merging import PLAIN, hindrances, joined_note
from heritage.privacy.services.meeting import meet
from heritage.season.models import Demonstration
from heritage.tally.services import carry_over

DETAILS = ["email", "phone", "born_on"]


@transaction.atomic
def merge(*, gone: Volunteer, kept: Volunteer, by: User, now: datetime) -> Merge:
    """Make two lines one; the same two again change nothing.

    Raises
    ------
    ValidationError
        If they cannot be one person, or something must be settled first.
    """
    gatherings.hold_all(kept.demonstration)
    Demonstration.objects.select_for_update(no_key=True).get(pk=kept.demonstration_id)
    require_organiser(kept.demonstration, by)
    return make_one(gone, kept, by, now)


def make_one(gone: Volunteer, kept: Volunteer, by: User, now: datetime) -> Merge:
    """Make two lines one, for whoever may; everybody's lines are held by the caller.

    Raises
    ------
    ValidationError
        If they cannot be one person, or something must be settled first.
    """
    gone, kept = _fresh(gone), _fresh(kept)
    earlier = Merge.objects.filter(gone=gone, kept=kept).first()
    if earlier:
        return earlier
    hindered = list(hindrances(gone, kept))
    if hindered:
        raise ValidationError(hindered)
    carried = carry_over(gone=gone, kept=kept, by=by, now=now)
    # Children first: none is left at a gathering while two places there become one.
    moved = {
        "beets": carried.beets,
        "lines of other work": carried.work_lines,
        "own logs": carried.own_logs,
        **_move(gone, kept),
    }
    settled = meet(gone, kept, by, now)
    settled += _join(gone, kept, now)
    _take_down_unasked(kept)
    row = Merge(
        demonstration=kept.demonstration,
        kept=kept,
        gone=gone,
        at=now,
        by=by,
        moved={what: rows for what, rows in moved.items() if rows},
        settled=settled,
    )
    row.full_clean()
    row.save()
    return row


def _fresh(person: Volunteer) -> Volunteer:
    rows = Volunteer.objects.select_related("demonstration", "user", "guardian")
    return rows.get(pk=person.pk)


def _move(gone: Volunteer, kept: Volunteer) -> dict[str, int]:
    """Point every row of one line to the other; return how many of which."""
    moved: dict[str, int] = {}
    for model, path in PLAIN:
        rows = model._default_manager.filter(**{path: gone})
        moved[f"{model._meta.verbose_name_plural}: {path}"] = rows.update(
            **{path: kept}
        )
    moved["pictures"] = pictures.move_marks(gone=gone, kept=kept)
    return moved


def _join(gone: Volunteer, kept: Volunteer, now: datetime) -> list[str]:
    """Give the kept line what it lacks, and empty the other."""
    settled = _join_notes(gone, kept)
    for field in DETAILS:
        if getattr(gone, field) and getattr(kept, field) != getattr(gone, field):
            if getattr(kept, field):
                settled.append(
                    _("%(what)s: %(kept)s stays, and %(gone)s goes.")
                    % {
                        "what": Volunteer._meta.get_field(field).verbose_name,  # type: ignore[union-attr]
                        "kept": getattr(kept, field),
                        "gone": getattr(gone, field),
                    }
                )
            else:
                setattr(kept, field, getattr(gone, field))
    if not kept.emergency_name:
        kept.emergency_name = gone.emergency_name
        kept.emergency_phone = gone.emergency_phone
    user, organised_since = gone.user, gone.organiser_since
    _empty(gone, kept, now)
    kept.user = kept.user or user
    if kept.age_band == AgeBand.ADULT and organised_since:
        kept.hold_role(organised_since)
    kept.joined_at = min(kept.joined_at, gone.joined_at)
    if gone.left_at == now:
        kept.left_at = None
    kept.full_clean()
    kept.save()
    if kept.user_id:
        _close_invitations(kept, now)
    return settled


def _empty(gone: Volunteer, kept: Volunteer, now: datetime) -> None:
    gone.user = None
    gone.hold_role(None)
    gone.email = gone.phone = gone.emergency_name = gone.emergency_phone = ""
    gone.born_on, gone.calendar_key = None, private_key()
    gone.merged_into, gone.left_at = kept, gone.left_at or now
    gone.full_clean()
    gone.save()


def _join_notes(gone: Volunteer, kept: Volunteer) -> list[str]:
    """Keep the words of both health notes, until the earlier of their days."""
    theirs = HealthNote.objects.filter(volunteer=gone).first()
    if theirs is None:
        return []
    own = HealthNote.objects.filter(volunteer=kept).first()
    if own is None:
        theirs.volunteer = kept
        theirs.save(update_fields=["volunteer"])
        return []
    own.text = joined_note(gone, kept)
    own.delete_on = max(min(own.delete_on, theirs.delete_on), own.agreed_at.date())
    theirs.delete()
    own.save(update_fields=["text", "delete_on"])
    return [_("Both health notes became one.")]


def _close_invitations(kept: Volunteer, now: datetime) -> None:
    """Let nobody else take up a line that has its account."""
    rows = Invitation.objects.filter(volunteer=kept)
    rows.open(now).update(withdrawn_at=now)


def _take_down_unasked(kept: Volunteer) -> None:
    """Show nobody who, the two lines read together, has not agreed."""
    if not_agreed(Volunteer.objects.filter(pk=kept.pk)).exists():
        pictures.unpublish_of(volunteer=kept)
