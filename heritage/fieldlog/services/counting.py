"""What the slips of a head-count do: called, seen, not seen after all, ended."""

from collections.abc import Callable

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

import heritage.gatherings.services as gatherings
from heritage.fieldlog.models import Kind
from heritage.fieldlog.services.desk import Desk, Kept, people_of, person_of
from heritage.gatherings.models import Muster


def muster(desk: Desk) -> Kept:
    """Call everybody out; a second phone's call is the same head-count."""
    gatherings.call_everybody_out(
        gathering=desk.gathering,
        by=desk.by,
        now=desk.now,
        called_at=desk.at,
        why=desk.slip.text("why", 200),
        key=desk.slip.key,
        here=people_of(desk, "here"),
    )
    return Kept(_("Everybody is called out."))


def seen(desk: Desk) -> Kept:
    """Tick somebody seen at the meeting point."""
    person = person_of(desk)
    gatherings.see(muster=_muster(desk), volunteer=person, by=desk.by, now=desk.at)
    return Kept(_("%s is safe.") % person, person)


def unseen(desk: Desk) -> Kept:
    """Take back that somebody was seen."""
    person = person_of(desk)
    gatherings.unsee(muster=_muster(desk), volunteer=person, by=desk.by)
    return Kept(_("%s is to be looked for again.") % person, person)


def counted(desk: Desk) -> Kept:
    """End the head-count, with words about whoever was not seen."""
    gatherings.end_head_count(
        muster=_muster(desk),
        by=desk.by,
        now=desk.at,
        note=desk.slip.text("note", 300),
    )
    return Kept(_("The head-count has ended."))


COUNTERS: dict[Kind, Callable[[Desk], Kept]] = {
    Kind.MUSTER: muster,
    Kind.SEEN: seen,
    Kind.UNSEEN: unseen,
    Kind.COUNTED: counted,
}


def _muster(desk: Desk) -> Muster:
    """Return the newest head-count: what was seen may be heard of after it ended."""
    newest = desk.gathering.musters.newest_first().first()
    if newest is None:
        raise ValidationError(_("Nobody has been called out."))
    return newest
