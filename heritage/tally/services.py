"""Everything that is written into the tally book."""

import uuid
from collections.abc import Mapping
from datetime import datetime, timedelta

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

import heritage.gatherings.services as gatherings
from heritage.gatherings.models import Gathering
from heritage.people.models import User, Volunteer
from heritage.season.models import Plot
from heritage.tally.models import Entry, Way

# People come early and begin: the book opens this long before the posted start.
BOOK_OPENS = timedelta(hours=2)


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
) -> Entry:
    """Credit a volunteer with beets; the same key twice is the same entry.

    Raises
    ------
    ValidationError
        If the count is not above nothing, the gathering is called off or has not
        begun, or the person or plot belongs to another demonstration.
    """
    key = key or uuid.uuid4()
    earlier = Entry.objects.select_for_update().filter(key=key).first()
    if earlier:
        return earlier
    _require_open(gathering, now)
    _require_same_demonstration(gathering, volunteer, plot)
    entry = Entry(
        gathering=gathering,
        volunteer=volunteer,
        plot=plot or gathering.plot,
        way=way,
        beets=beets,
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
) -> list[Entry]:
    """Log several people's beets at once: all of them, or none.

    Whoever is credited is put on the turnout if they were not on it yet. Sending
    the same sheet twice, by its key, changes nothing.
    """
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
            )
        )
    return entries


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
    entry = Entry.objects.select_for_update().get(pk=entry.pk)
    if entry.corrects_id:
        raise ValidationError(_("Correct the first entry, not its correction."))
    if not reason.strip():
        raise ValidationError({"reason": _("Say why: the reason stays in the book.")})
    if right_beets < 0:
        raise ValidationError({"right_beets": _("Nobody pulls fewer than no beets.")})
    difference = right_beets - entry.beets - entry.corrections.all().beets()
    if not difference:
        raise ValidationError({"right_beets": _("The book says that already.")})
    counter = Entry(
        gathering=entry.gathering,
        volunteer=entry.volunteer,
        plot=entry.plot,
        way=entry.way,
        beets=difference,
        corrects=entry,
        reason=reason.strip(),
        entered_at=now,
        entered_by=by,
    )
    counter.full_clean()
    counter.save()
    return counter


def _require_open(gathering: Gathering, now: datetime) -> None:
    if gathering.is_called_off:
        raise ValidationError(_("This gathering was called off: nothing was pulled."))
    if gathering.is_draft or now < gathering.starts_at - BOOK_OPENS:
        raise ValidationError(_("This gathering has not begun yet."))


def _require_same_demonstration(
    gathering: Gathering, volunteer: Volunteer, plot: Plot | None
) -> None:
    here = gathering.demonstration_id
    if volunteer.demonstration_id != here:
        raise ValidationError(_("%s is not a volunteer here.") % volunteer)
    if plot and plot.demonstration_id != here:
        raise ValidationError({"plot": _("That plot is not in this field.")})
