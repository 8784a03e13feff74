"""What each kind of slip does to the books of the trades below."""

from collections.abc import Callable

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

import heritage.dam.services as dam
import heritage.pictures.services as pictures
import heritage.tally.services as tally
from heritage.dam.models import Ret
from heritage.fieldlog.models import FieldNote, Kind
from heritage.fieldlog.services.desk import Desk, Kept, key_of, person_of
from heritage.fieldlog.services.sky import hear_thunder
from heritage.pictures.models import Licence, Shown

MOST_BEETS = 100
# What a dam's book takes, in °C.
COLDEST, HOTTEST = -5, 60


def beets(desk: Desk) -> Kept:
    """Credit somebody with the beets that were tapped."""
    person, count = person_of(desk), desk.slip.whole("count")
    if not 1 <= count <= MOST_BEETS:
        raise ValidationError(
            _("One entry from the field holds 1 to %d beets.") % MOST_BEETS
        )
    tally.log_beets(
        gathering=desk.gathering,
        volunteer=person,
        beets=count,
        by=desk.by,
        now=desk.at,
        key=desk.slip.key,
    )
    words = ngettext(
        "%(count)d beet for %(who)s.", "%(count)d beets for %(who)s.", count
    )
    return Kept(words % {"count": count, "who": person}, person)


def uncount(desk: Desk) -> Kept:
    """Take a count back by a counter-entry: the book keeps both."""
    entry = desk.gathering.entries.filter(key=key_of(desk.slip, "of")).first()
    if entry is None:
        raise ValidationError(_("Those beets are not in the book: nothing to undo."))
    tally.correct(
        entry=entry,
        right_beets=0,
        reason=_("taken back in the field"),
        by=desk.by,
        now=desk.at,
    )
    words = _("%(count)d taken back from %(who)s.")
    return Kept(words % {"count": entry.beets, "who": entry.volunteer}, entry.volunteer)


def note(desk: Desk) -> Kept:
    """Write a note into the evening's book."""
    row = FieldNote(
        gathering=desk.gathering,
        text=desk.slip.text("text", 1000),
        at=desk.at,
        by=desk.by,
    )
    if not row.text:
        raise ValidationError(_("The note is empty."))
    row.full_clean()
    row.save()
    return Kept(_("The note is kept."))


def temperature(desk: Desk) -> Kept:
    """Give a water temperature to the ret it was read in."""
    rets = Ret.objects.of(desk.gathering.demonstration)
    ret = rets.filter(pk=desk.slip.whole("ret")).first()
    if ret is None:
        raise ValidationError(_("That ret is not of this demonstration."))
    degrees = desk.slip.decimal("temp_c")
    if not COLDEST <= degrees <= HOTTEST:
        raise ValidationError(_("No dam is at %s °C: read it again.") % degrees)
    # Sent again as it was, after the dam has asked: it was read again, and is right.
    sure = "asked" in desk.slip.data and desk.slip.decimal("asked") == degrees
    dam.add_reading(
        ret=ret, at=desk.at, temp_c=degrees, user=desk.by, now=desk.now, sure=sure
    )
    return Kept(_("The water: %s °C.") % degrees)


def thunder(desk: Desk) -> Kept:
    """Write down that thunder was heard: the wait of thirty minutes starts anew."""
    hear_thunder(gathering=desk.gathering, by=desk.by, at=desk.at)
    return Kept(_("Thunder is written down."))


def picture(desk: Desk) -> Kept:
    """Put a photograph into the record: hidden until those in it were asked."""
    caption = desk.slip.text("caption", 300)
    if desk.slip.photograph is None or desk.prepared is None:
        raise ValidationError(_("The photograph did not come with it."))
    if not caption:
        raise ValidationError(_("Say in a few words what the photograph shows."))
    pictures.add_picture(
        demonstration=desk.gathering.demonstration,
        original=desk.slip.photograph,
        prepared=desk.prepared,
        said={
            "stage": desk.gathering.stage,
            "gathering": desk.gathering,
            "caption": caption,
            "alt_text": desk.slip.text("alt_text", 400) or caption,
            "taken_on": None,
            "credit": desk.by.name or desk.by.email,
            "licence": Licence.RESERVED,
            "shown": Shown.UNASKED,
        },
        user=desk.by,
        now=desk.now,
    )
    return Kept(_("The photograph is in the record; nobody else sees it yet."))


KEEPERS: dict[Kind, Callable[[Desk], Kept]] = {
    Kind.BEETS: beets,
    Kind.UNCOUNT: uncount,
    Kind.NOTE: note,
    Kind.TEMPERATURE: temperature,
    Kind.THUNDER: thunder,
    Kind.PICTURE: picture,
}
