"""Agreeing to words, and taking that back as easily.

A health note's day hangs on places that come and go, so `delete_due_notes` reckons it
anew each night before it deletes; until then no reader is given a note past its day.
"""

from datetime import date, datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.common.rows import fill_in, lock
from heritage.people.agreements.selectors import (
    current_words,
    kept_until,
    local_day,
    note_ends_on,
    season_ends_on,
)
from heritage.people.models import (
    AgreedHow,
    Agreement,
    HealthNote,
    Subject,
    User,
    Volunteer,
    Wording,
)
from heritage.people.particulars.services import (
    is_own_or_guardian,
    require_old_enough_to_agree,
    require_organiser,
    require_own_word,
    require_own_word_or_organiser,
)
from heritage.season.models import Demonstration


@transaction.atomic
def publish_wording(
    *, demonstration: Demonstration, subject: str, text: str, by: User, now: datetime
) -> Wording:
    """Publish new words; people who agreed before stand by the words they read."""
    lock(demonstration)
    require_organiser(demonstration, by)
    text = _tidy(text)
    if not text:
        raise ValidationError({"text": _("Enter the wording people will read.")})
    holding = keep_wording(demonstration, subject, now)
    if text == _tidy(holding.text):
        raise ValidationError(
            {"text": _("That's the wording already. Change it, or cancel.")}
        )
    return _publish(demonstration, subject, holding.number + 1, text, now)


def keep_wording(demonstration: Demonstration, subject: str, now: datetime) -> Wording:
    """Return the words that hold; words that were never kept become version 1.

    The caller has locked the demonstration.
    """
    row = demonstration.wordings.on(subject).first()
    if row:
        return row
    words = current_words(demonstration, subject)
    return _publish(demonstration, subject, words.number, words.text, now)


@transaction.atomic
def agree(
    *, volunteer: Volunteer, subject: str, number: int, by: User, now: datetime
) -> Agreement:
    """Write down that somebody agrees for themselves, or for a child, on a screen.

    ``number`` is the version they read: words changed since must be read again.

    Raises
    ------
    ValidationError
        If they may not say so, read other words, or agreed to these already.
    """
    lock(volunteer.demonstration)
    require_own_word(volunteer, by)
    require_old_enough_to_agree(volunteer, by, now)
    agreement = _agreement(volunteer, by, now, AgreedHow.SCREEN)
    return _write_agreement(agreement, subject, number)


@transaction.atomic
def agree_on_paper(
    *, volunteer: Volunteer, subject: str, number: int, by: User, now: datetime
) -> Agreement:
    """Write down that somebody signed the words on paper, which an organiser has."""
    lock(volunteer.demonstration)
    require_organiser(volunteer.demonstration, by)
    agreement = _agreement(volunteer, by, now, AgreedHow.PAPER)
    return _write_agreement(agreement, subject, number)


@transaction.atomic
def note_notice_read(
    *, volunteer: Volunteer, number: int, by: User, now: datetime
) -> Agreement:
    """Write down which version of the notice somebody was shown; twice is once."""
    lock(volunteer.demonstration)
    require_own_word(volunteer, by)
    read = volunteer.agreements.standing().on(Subject.NOTICE)
    known = read.filter(wording__number=number).first()
    if known:
        return known
    agreement = _agreement(volunteer, by, now, AgreedHow.SCREEN)
    return _write_agreement(agreement, Subject.NOTICE, number)


def note_shown(volunteer: Volunteer, number: int, by: User, now: datetime) -> None:
    """Write down which notice somebody was shown; the demonstration is locked.

    Words that changed in the meantime, or were shown before, are passed over: the
    person's own page shows them anew.
    """
    read = volunteer.agreements.standing().on(Subject.NOTICE)
    current = keep_wording(volunteer.demonstration, Subject.NOTICE, now)
    if current.number == number and not read.filter(wording=current).exists():
        agreement = _agreement(volunteer, by, now, AgreedHow.SCREEN)
        _write_agreement(agreement, Subject.NOTICE, number)


@transaction.atomic
def withdraw(*, agreement: Agreement, by: User, now: datetime) -> list[Agreement]:
    """Take an agreement back, with every older one of theirs on the same subject.

    The volunteer, their guardian and an organiser who was told may do so, at once
    and without a reason. Taking back twice is taking back once.
    """
    volunteer = agreement.volunteer
    lock(volunteer.demonstration)
    require_own_word_or_organiser(volunteer, by)
    rows = volunteer.agreements.standing().on(agreement.wording.subject)
    ended = list(rows.newest_first())
    for row in ended:
        row.withdrawn_at, row.withdrawn_by = now, by
        row.save(update_fields=["withdrawn_at", "withdrawn_by"])
    return ended


def _write_agreement(agreement: Agreement, subject: str, number: int) -> Agreement:
    """Keep an agreement to the words that hold; the demonstration is locked."""
    volunteer = agreement.volunteer
    wording = keep_wording(volunteer.demonstration, subject, agreement.given_at)
    if wording.number != number:
        raise ValidationError(
            {"number": _("The wording has changed. Read it again, then agree.")}
        )
    if volunteer.agreements.standing().filter(wording=wording).exists():
        raise ValidationError(_("%s has already agreed to this.") % volunteer)
    return fill_in(agreement, {"wording": wording})


def _agreement(
    volunteer: Volunteer, by: User, now: datetime, how: AgreedHow
) -> Agreement:
    return Agreement(volunteer=volunteer, given_at=now, given_by=by, how=how)


def _publish(
    demonstration: Demonstration, subject: str, number: int, text: str, now: datetime
) -> Wording:
    wording = Wording(
        demonstration=demonstration, subject=subject, number=number, published_at=now
    )
    return fill_in(wording, {"text": text})


def _tidy(text: str) -> str:
    return "\n".join(line.rstrip() for line in text.strip().splitlines())


@transaction.atomic
def keep_health_note(
    *, volunteer: Volunteer, text: str, number: int, by: User, now: datetime
) -> HealthNote:
    """Keep or change somebody's note, with their agreement to the words they read.

    The volunteer or their guardian agrees on a screen; an organiser only writes
    down what was signed on paper. ``number`` is the version of the words.
    """
    lock(volunteer.demonstration)
    if volunteer.left_at:
        raise ValidationError(
            _("%s has left the list. Put them back first.") % volunteer
        )
    agreement = _agreement(volunteer, by, now, _agreed_how(volunteer, by, now))
    _end_agreements(volunteer, by, now)
    _write_agreement(agreement, Subject.HEALTH, number)
    written_on = now.astimezone(volunteer.demonstration.zone).date()
    note = HealthNote.objects.about([volunteer.pk]).first() or HealthNote(
        volunteer=volunteer
    )
    note.agreed_at, note.agreed_by = now, by
    note.delete_on = note_ends_on(volunteer, written_on)
    return fill_in(note, {"text": text.strip()})


@transaction.atomic
def take_back_health_note(*, volunteer: Volunteer, by: User, now: datetime) -> None:
    """Delete a note at once; twice is once."""
    lock(volunteer.demonstration)
    require_own_word_or_organiser(volunteer, by)
    HealthNote.objects.about([volunteer.pk]).delete()
    _end_agreements(volunteer, by, now)


@transaction.atomic
def delete_due_notes(
    day: date, *, demonstration: Demonstration | None = None
) -> list[Volunteer]:
    """Delete every note whose day has come, and set the others' day anew.

    Somebody who signed up for a later gathering since keeps the note till after that
    one; somebody who gave their place up does not.

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
