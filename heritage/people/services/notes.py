"""Notes on health and access: given freely, taken back at once, deleted in time."""

from datetime import date, datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.people.models import AgreedHow, HealthNote, Subject, User, Volunteer
from heritage.people.selectors.notes import (
    kept_until,
    local_day,
    note_ends_on,
    season_ends_on,
)
from heritage.people.services.agreements import write_agreement
from heritage.people.services.answering import (
    is_own_or_guardian,
    require_old_enough_to_agree,
    require_organiser,
    require_own_word_or_organiser,
)
from heritage.season.models import Demonstration


@transaction.atomic
def keep_health_note(
    *, volunteer: Volunteer, text: str, number: int, by: User, now: datetime
) -> HealthNote:
    """Keep or change somebody's note, with their agreement to the words they read.

    The volunteer or their guardian agrees on a screen; an organiser only writes
    down what was signed on paper. ``number`` is the version of the words.
    """
    _hold(volunteer)
    if volunteer.left_at:
        raise ValidationError(_("%s has left.") % volunteer)
    how = _agreed_how(volunteer, by, now)
    _end_agreements(volunteer, by, now)
    write_agreement(volunteer, Subject.HEALTH, number, by, now, how)
    written_on = now.astimezone(volunteer.demonstration.zone).date()
    note = HealthNote.objects.about([volunteer.pk]).first() or HealthNote(
        volunteer=volunteer
    )
    note.text, note.agreed_at, note.agreed_by = text.strip(), now, by
    note.delete_on = note_ends_on(volunteer, written_on)
    note.full_clean()
    note.save()
    return note


@transaction.atomic
def take_back_health_note(*, volunteer: Volunteer, by: User, now: datetime) -> None:
    """Delete a note at once; twice is once."""
    _hold(volunteer)
    require_own_word_or_organiser(volunteer, by)
    HealthNote.objects.about([volunteer.pk]).delete()
    _end_agreements(volunteer, by, now)


@transaction.atomic
def delete_due_notes(
    day: date, *, demonstration: Demonstration | None = None
) -> list[Volunteer]:
    """Delete every note whose day has come, and set the others' day anew.

    Whoever signed up for a later gathering since keeps the note till after that one;
    whoever gave their place up does not.

    Returns
    -------
    list of Volunteer
        Those whose note was deleted.
    """
    notes = HealthNote.objects.with_last_gathering().select_for_update(of=("self",))
    if demonstration is not None:
        notes = notes.of(demonstration)
    ends: dict[int, date] = {}
    deleted = []
    for note in notes:
        place = note.volunteer.demonstration
        if place.pk not in ends:
            ends[place.pk] = season_ends_on(place)
        written_on = note.agreed_at.astimezone(place.zone).date()
        note.delete_on = kept_until(
            written_on=written_on,
            last=local_day(note.last_gathering_at, place),
            season_end=ends[place.pk],
        )
        if note.delete_on <= day:
            note.delete()
            deleted.append(note.volunteer)
        else:
            note.save(update_fields=["delete_on"])
    return deleted


def _agreed_how(volunteer: Volunteer, by: User, now: datetime) -> AgreedHow:
    if is_own_or_guardian(volunteer, by):
        require_old_enough_to_agree(volunteer, by, now)
        return AgreedHow.SCREEN
    require_organiser(volunteer.demonstration, by)
    return AgreedHow.PAPER


def _end_agreements(volunteer: Volunteer, by: User, now: datetime) -> None:
    rows = volunteer.agreements.standing().on(Subject.HEALTH)
    rows.update(withdrawn_at=now, withdrawn_by=by)


def _hold(volunteer: Volunteer) -> None:
    Demonstration.objects.select_for_update(no_key=True).get(
        pk=volunteer.demonstration_id
    )
