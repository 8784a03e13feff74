"""Beets into the book: one person's, an evening's, a crew's, a paper sheet's."""

import uuid
from collections.abc import Mapping
from datetime import datetime
from fractions import Fraction

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

import heritage.gatherings.services as gatherings
from heritage.calc.tally import share
from heritage.gatherings.models import Gathering
from heritage.people.models import User, Volunteer
from heritage.season.models import Plot
from heritage.tally.models import Entry, Source, Way
from heritage.tally.services.rules import (
    difference,
    hold,
    require_correctable,
    require_open,
    require_same_demonstration,
)


@transaction.atomic
def log_beets(
    *,
    gathering: Gathering,
    volunteer: Volunteer,
    beets: int,
    by: User,
    now: datetime,
    plot: Plot | None = None,
    way: str = Way.HAND,
    key: uuid.UUID | None = None,
    source: str = Source.FIELD,
    crew: uuid.UUID | None = None,
) -> Entry:
    """Credit a volunteer with beets; the same key twice is the same entry.

    Raises
    ------
    ValidationError
        If the count is not above nothing, the gathering is called off or has not
        begun, or the person or plot belongs to another demonstration.
    """
    key = key or uuid.uuid4()
    hold(gathering)
    earlier = Entry.objects.filter(key=key).first()
    if earlier:
        return earlier
    require_open(gathering, now)
    require_same_demonstration(gathering, volunteer, plot)
    entry = Entry(
        gathering=gathering,
        volunteer=volunteer,
        plot=plot or gathering.plot,
        way=way,
        beets=beets,
        source=source,
        crew=crew,
        key=key,
        entered_at=now,
        entered_by=by,
    )
    entry.full_clean()
    entry.save()
    return entry


@transaction.atomic
def log_evening(
    *,
    gathering: Gathering,
    counts: Mapping[Volunteer, int],
    by: User,
    now: datetime,
    plot: Plot | None = None,
    way: str = Way.HAND,
    key: uuid.UUID,
    source: str = Source.LEAD,
    crew: uuid.UUID | None = None,
) -> list[Entry]:
    """Log several people's beets at once: all of them, or none.

    Whoever is credited is put on the turnout if they were not on it yet. Sending
    the same sheet twice, by its key, changes nothing.
    """
    hold(gathering)
    entries = []
    here = set(gathering.turnout.values_list("volunteer", flat=True))
    for volunteer, beets in counts.items():
        if volunteer.pk not in here:
            gatherings.record_turnout(
                gathering=gathering,
                volunteer=volunteer,
                arrived_at=gathering.starts_at,
                left_at=None,
                by=by,
            )
        entries.append(
            log_beets(
                gathering=gathering,
                volunteer=volunteer,
                beets=beets,
                plot=plot,
                way=way,
                by=by,
                now=now,
                key=uuid.uuid5(key, str(volunteer.pk)),
                source=source,
                crew=crew,
            )
        )
    return entries


@transaction.atomic
def log_crew(
    *,
    gathering: Gathering,
    beets: int,
    weights: Mapping[Volunteer, Fraction],
    by: User,
    now: datetime,
    plot: Plot | None = None,
    way: str = Way.HAND,
    key: uuid.UUID,
) -> list[Entry]:
    """Share what a crew pulled together: an entry each, by the agreed weights.

    The shares are whole beets that sum to the total, by largest remainder. Whoever's
    share comes to nothing has no entry. The same key twice is the same crew.

    Raises
    ------
    ValidationError
        If there are no beets to share or nobody to share them, or as ``log_beets``.
    """
    hold(gathering)
    earlier = list(Entry.objects.filter(crew=key, corrects__isnull=True).in_order())
    if earlier:
        return earlier
    claims = {who: weight for who, weight in weights.items() if weight > 0}
    if not claims:
        raise ValidationError(_("Tick who was in the crew."))
    if beets < 1:
        raise ValidationError({"beets": _("Write what the crew pulled together.")})
    people = sorted(claims, key=lambda who: who.pk)
    parts = share(beets, [claims[who] for who in people])
    return log_evening(
        gathering=gathering,
        counts={who: part for who, part in zip(people, parts, strict=True) if part},
        by=by,
        now=now,
        plot=plot,
        way=way,
        key=key,
        crew=key,
    )


@transaction.atomic
def log_paper(
    *,
    gathering: Gathering,
    counts: Mapping[Volunteer, int],
    check_total: int,
    by: User,
    now: datetime,
    plot: Plot | None = None,
    way: str = Way.HAND,
    key: uuid.UUID,
) -> list[Entry]:
    """Type a paper sheet in: its lines must come to the total written under them.

    Raises
    ------
    ValidationError
        If they do not, or as ``log_beets``.
    """
    typed = sum(counts.values())
    if typed != check_total:
        words = _(
            "The sheet's total is %(said)d, and the lines come to %(typed)d: a "
            "difference of %(off)d. Nothing is written until they agree."
        )
        off = {"said": check_total, "typed": typed, "off": abs(check_total - typed)}
        raise ValidationError({"check_total": words % off})
    return log_evening(
        gathering=gathering,
        counts=counts,
        by=by,
        now=now,
        plot=plot,
        way=way,
        key=key,
        source=Source.PAPER,
    )


@transaction.atomic
def correct(
    *, entry: Entry, right_beets: int, reason: str, by: User, now: datetime
) -> Entry:
    """Put an entry right by a counter-entry; the book keeps both, and the reason.

    Raises
    ------
    ValidationError
        If the reason is missing, the right count is negative or the same as the
        book says, or the entry is itself a correction.
    """
    hold(entry.gathering)
    require_correctable(entry, reason)
    said = entry.beets + entry.corrections.all().beets()
    counter = Entry(
        gathering=entry.gathering,
        volunteer=entry.volunteer,
        plot=entry.plot,
        way=entry.way,
        beets=difference(right=right_beets, said=said, field="right_beets"),
        source=entry.source,
        crew=entry.crew,
        corrects=entry,
        reason=reason.strip(),
        entered_at=now,
        entered_by=by,
    )
    counter.full_clean()
    counter.save()
    return counter
