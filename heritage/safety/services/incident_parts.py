"""Who saw an incident, and its photographs: redrawn, private, never published."""

from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.common.photographs import tidied_up
from heritage.kits.imaging import Prepared
from heritage.people.models import User
from heritage.safety.models import Evidence, Incident, Witness
from heritage.safety.services.incidents import locked, note_change

MOST_PHOTOGRAPHS = 12


@transaction.atomic
def keep_witness(
    *,
    incident: Incident,
    said: dict[str, Any],
    by: User,
    now: datetime,
    witness: Witness | None = None,
) -> Witness:
    """Write down who saw it and what they say, or put it right."""
    incident = locked(incident)
    kept = witness or Witness(incident=incident, added_by=by)
    before = _witness_words(kept) if witness else ""
    for name, value in said.items():
        setattr(kept, name, value)
    kept.full_clean()
    kept.save()
    if before != _witness_words(kept):
        note_change(incident, {"witness": [before, _witness_words(kept)]}, by, now)
    return kept


@transaction.atomic
def take_away_witness(*, witness: Witness, by: User, now: datetime) -> None:
    """Take away a witness; the history keeps what was written."""
    incident = locked(witness.incident)
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
        If there are many already, or it is not said what it shows.
    """
    incident = locked(incident)
    if incident.evidence.count() >= MOST_PHOTOGRAPHS:
        raise ValidationError(
            _("There are %d photographs already. Take one away first.")
            % MOST_PHOTOGRAPHS
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
    incident = locked(piece.incident)
    note_change(incident, {"photograph": [piece.words, ""]}, by, now)
    storage, name = piece.file.storage, str(piece.file.name)
    piece.delete()
    transaction.on_commit(lambda: storage.delete(name))


def photographs_of(incident: Incident) -> tuple[tuple[bytes, str], ...]:
    """Return the photographs with what they show; a lost file is left out."""
    found = []
    for piece in incident.evidence.order_by("added_at", "pk"):
        if piece.file.storage.exists(str(piece.file.name)):
            with piece.file.open("rb") as stored:
                found.append((stored.read(), piece.words))
    return tuple(found)


def _witness_words(witness: Witness) -> str:
    said = (witness.name, witness.contact, witness.says)
    return "; ".join(words for words in said if words)
