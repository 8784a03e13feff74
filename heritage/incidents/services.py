"""Incidents: written down quickly, completed later, and nothing of it rubbed out.

The form carries its own key: a press repeated in a field with little signal writes one
incident, and a photograph that cannot be kept costs none of the words.
"""

from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta
from typing import Any

from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.common.photographs import tidied_up
from heritage.common.rows import fill_in, lock
from heritage.incidents.models import Evidence, Incident, IncidentChange, Witness
from heritage.incidents.selectors import (
    DECISION_FIELDS,
    fields_open,
    keep_until,
    plain,
    reasons_not_to_finish,
)
from heritage.kits.imaging import Prepared
from heritage.people.models import User
from heritage.season.models import Demonstration

# A telephone's clock may be a little ahead of the site's.
CLOCKS_DIFFER = timedelta(minutes=10)
MOST_PHOTOGRAPHS = 12


@transaction.atomic
def report_incident(
    *,
    demonstration: Demonstration,
    values: Mapping[str, Any],
    by: User,
    now: datetime,
    key: str = "",
) -> Incident:
    """Write down what happened; the same page sent twice is one incident.

    Raises
    ------
    ValidationError
        If a word is missing, or its time has not come yet.
    """
    lock(demonstration)
    sent = Incident.objects.of(demonstration).sent_as(key, by).first()
    if sent:
        return sent
    incident = Incident(
        demonstration=demonstration, reported_by=by, reported_at=now, **values
    )
    if key and not Incident.objects.sent_as(key).exists():
        incident.key = key
    _refuse_days(incident, now)
    incident.keep_until = keep_until(incident)
    incident.full_clean()
    incident.save()
    return incident


@transaction.atomic
def change_incident(
    *,
    incident: Incident,
    values: Mapping[str, Any],
    by: User,
    now: datetime,
    as_organiser: bool,
) -> Incident:
    """Complete or correct an incident; what it said before is kept.

    The person who reported it may, until an organiser completes it, and only in fields
    where nobody else has written since.

    Raises
    ------
    ValidationError
        If they may not change it, or a value cannot be.
    """
    incident = _locked(incident)
    if incident.completed_at and not as_organiser:
        raise ValidationError(
            _("An organiser has completed this. Tell them what should change.")
        )
    may_write = fields_open(incident, as_organiser=as_organiser)
    return _change(incident, _only(values, may_write), by, now)


@transaction.atomic
def decide_reporting(
    *, incident: Incident, values: Mapping[str, Any], by: User, now: datetime
) -> Incident:
    """Write down that it was reported, when and how, or why it was not.

    Raises
    ------
    ValidationError
        If both are given, or a day without how it was done.
    """
    told, how = values["told_authority_on"], values["told_authority_how"]
    if told and values["not_told_why"]:
        raise ValidationError(
            {"not_told_why": _("It was reported, so leave this empty.")}
        )
    if bool(told) is not bool(how):
        field = "told_authority_how" if told else "told_authority_on"
        raise ValidationError({field: _("Enter both: the day, and how.")})
    return _change(_locked(incident), _only(values, DECISION_FIELDS), by, now)


@transaction.atomic
def hold_incident(
    *, incident: Incident, held_for: str, by: User, now: datetime
) -> Incident:
    """Keep an incident beyond its day, for a claim; no words let it go again."""
    return _change(_locked(incident), {"held_for": held_for}, by, now)


@transaction.atomic
def finish_incident(*, incident: Incident, by: User, now: datetime) -> Incident:
    """Call an incident complete, once nothing is lacking.

    Raises
    ------
    ValidationError
        If something is lacking, or it is complete already.
    """
    incident = _locked(incident)
    if incident.completed_at:
        raise ValidationError(_("This is already complete."))
    lacks = reasons_not_to_finish(incident)
    if lacks:
        raise ValidationError(list(lacks))
    note_change(incident, {"completed_at": [None, plain(now)]}, by, now)
    incident.completed_at, incident.completed_by = now, by
    incident.save(update_fields=["completed_at", "completed_by"])
    return incident


@transaction.atomic
def keep_witness(
    *, witness: Witness, values: Mapping[str, Any], by: User, now: datetime
) -> Witness:
    """Write down who saw it and what they say, or correct it."""
    incident = _locked(witness.incident)
    before = _witness_words(witness)
    fill_in(witness, values)
    if before != _witness_words(witness):
        note_change(incident, {"witness": [before, _witness_words(witness)]}, by, now)
    return witness


@transaction.atomic
def take_away_witness(*, witness: Witness, by: User, now: datetime) -> None:
    """Take away a witness; the history keeps what was written."""
    incident = _locked(witness.incident)
    note_change(incident, {"witness": [_witness_words(witness), ""]}, by, now)
    witness.delete()


@transaction.atomic
def add_photograph(
    *, incident: Incident, prepared: Prepared, words: str, by: User, now: datetime
) -> Evidence:
    """Keep a photograph with an incident.

    Raises
    ------
    ValidationError
        If there are many already, or nothing says what it shows.
    """
    incident = _locked(incident)
    if incident.evidence.count() >= MOST_PHOTOGRAPHS:
        raise ValidationError(
            _("There are %d photographs already. Remove one first.") % MOST_PHOTOGRAPHS
        )
    piece = Evidence(
        incident=incident,
        file=ContentFile(prepared.large, name="evidence.jpg"),
        words=words,
        added_at=now,
        added_by=by,
    )
    piece.full_clean()
    with tidied_up(piece, "file"):
        piece.save()
        note_change(incident, {"photograph": ["", words]}, by, now)
    return piece


@transaction.atomic
def take_away_photograph(*, piece: Evidence, by: User, now: datetime) -> None:
    """Delete a photograph, file and all; the history keeps that it was there."""
    incident = _locked(piece.incident)
    note_change(incident, {"photograph": [piece.words, ""]}, by, now)
    storage, name = piece.file.storage, str(piece.file.name)
    piece.delete()
    transaction.on_commit(lambda: storage.delete(name))


def photographs_of(incident: Incident) -> tuple[tuple[bytes, str], ...]:
    """Return the photographs with what they show; a lost file is left out."""
    photographs = []
    for piece in incident.evidence.order_by("added_at", "pk"):
        if piece.file.storage.exists(str(piece.file.name)):
            with piece.file.open("rb") as stored:
                photographs.append((stored.read(), piece.words))
    return tuple(photographs)


def _witness_words(witness: Witness) -> str:
    parts = (witness.name, witness.contact, witness.says)
    return "; ".join(words for words in parts if words)


def _locked(incident: Incident) -> Incident:
    """Lock an incident and return it as it is now, with what its rules look at."""
    rows = Incident.objects.select_for_update(of=("self",))
    return rows.select_related("demonstration", "volunteer").get(pk=incident.pk)


def note_change(
    incident: Incident, what: dict[str, list[Any]], by: User, now: datetime
) -> None:
    """Keep what was there before, and what is there since."""
    IncidentChange.objects.create(incident=incident, what=what, at=now, by=by)


def _change(
    incident: Incident, values: Mapping[str, Any], by: User, now: datetime
) -> Incident:
    what = {}
    for name, value in values.items():
        old = getattr(incident, name)
        if old != value:
            what[name] = [plain(old), plain(value)]
            setattr(incident, name, value)
    _refuse_days(incident, now)
    incident.keep_until = keep_until(incident)
    incident.full_clean()
    if what:
        incident.save(update_fields=[*what, "keep_until"])
        note_change(incident, what, by, now)
    return incident


def _only(values: Mapping[str, Any], names: Iterable[str]) -> dict[str, Any]:
    return {name: values[name] for name in names if name in values}


def _refuse_days(incident: Incident, now: datetime) -> None:
    """Refuse a day that comes before it can, or after now."""
    zone = incident.demonstration.zone
    today, happened = now.astimezone(zone).date(), incident.happened_at
    day = happened.astimezone(zone).date()
    if happened > now + CLOCKS_DIFFER:
        raise ValidationError(
            {"happened_at": _("That time is in the future. Enter an earlier one.")}
        )
    if incident.born_on and incident.born_on > day:
        raise ValidationError(
            {"born_on": _("That's after it happened. Check both days.")}
        )
    told = incident.told_authority_on
    if told and not day <= told <= today:
        words = _("It was reported on a day from when it happened until today.")
        raise ValidationError({"told_authority_on": words})
