"""The lots that go into a dam and come out of it, as moves of the crop."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.common.rows import lock
from heritage.dam.filling.selectors import (
    BEFORE_THE_DAM,
    BeetsLeft,
    beets_left,
    lots_of,
)
from heritage.dam.models import Filled, Ret
from heritage.lots import services as lots
from heritage.lots.models import Loss, Lot, Move, Place
from heritage.lots.selectors import can_go
from heritage.lots.services import Amount
from heritage.people.models import User


def refuse_beets_from_nowhere(ret: Ret) -> None:
    """Let no more in than was pulled and is not elsewhere, unless it was said why."""
    left = beets_left(ret.dam.demonstration, ret.began_at)
    if ret.beets <= left.free:
        ret.why_more = ""
    elif not ret.why_more:
        raise ValidationError({"beets": more_than_there(left)})


def refuse_other_lots(ret: Ret, shares: Mapping[Lot, int]) -> None:
    """Let no lot give more than it has, unless it was said why; all count together."""
    together = sum(shares.values())
    if together != ret.beets:
        words = _("The lots come to %(lots)d beets, and %(beets)d went in.")
        sums = {"lots": together, "beets": ret.beets}
        raise ValidationError({"beets": words % sums})
    left = beets_left(ret.dam.demonstration, ret.began_at)
    there = {one.lot: one.beets for one in left.lots}
    more = [lot for lot, beets in shares.items() if beets > there.get(lot, 0)]
    if not more:
        ret.why_more = ""
    elif not ret.why_more:
        lot = more[0]
        words = _(
            "%(lot)s had %(there)d beets in the field and on the cart then, and this "
            "takes %(beets)d. Count again, or say below why there are more."
        )
        figures = {"lot": lot, "there": there.get(lot, 0), "beets": shares[lot]}
        raise ValidationError({f"lot_{lot.pk}": words % figures})


def more_than_there(left: BeetsLeft) -> str:
    """Say how many there are, and where the others went."""
    words = _(
        "The tally has %(pulled)d beets pulled, and %(steeped)d went into dams, so "
        "%(free)d can go in. Count again, or say below why there are more."
    )
    if left.elsewhere:
        words = _(
            "The tally has %(pulled)d beets pulled. %(steeped)d went into dams and "
            "%(elsewhere)d are elsewhere or lost, so %(free)d can go in. Count again, "
            "or say below why there are more."
        )
    return words % {
        "pulled": left.pulled,
        "steeped": left.steeped,
        "elsewhere": left.elsewhere,
        "free": left.free,
    }


def oldest_first(ret: Ret) -> dict[Lot, int]:
    """Share a filling among the lots that were there, the oldest first."""
    wanted = ret.beets
    shared: dict[Lot, int] = {}
    for one in beets_left(ret.dam.demonstration, ret.began_at).lots:
        if wanted:
            shared[one.lot] = min(wanted, one.beets)
            wanted -= shared[one.lot]
    return shared


def put_in(
    ret: Ret, shares: Mapping[Lot, int], *, mixed: bool, by: User | None, now: datetime
) -> None:
    """Move so many beets of each lot into the dam; mixed, they are one lot from then.

    What nobody counted before is counted in, with the reason that was given.
    """
    book = _RetBook(ret, by, now)
    for lot, beets in shares.items():
        book.move_in(lot, beets)
    uncounted = ret.beets - sum(shares.values())
    if uncounted > 0:
        here = ret.dam.demonstration
        found = lots.make_lot(demonstration=here, at=ret.began_at)
        book.count_in(found, uncounted)
        book.move_in(found, uncounted)
    if mixed:
        book.mix()


@dataclass(frozen=True, slots=True)
class _RetBook:
    """Writes the moves of one ret, and that they are its own."""

    ret: Ret
    by: User | None
    now: datetime

    def move_in(self, lot: Lot, beets: int) -> None:
        """Move beets of a lot in: from the cart, then the field, then as found."""
        left, at = beets, self.ret.began_at
        for place in BEFORE_THE_DAM:
            part = min(left, can_go(lot, place, at))
            if part:
                self.move(lot, (place, Place.DAM), part, at)
            left -= part
        if left:
            self.count_in(lot, left)
            self.move(lot, (Place.STOOK, Place.DAM), left, at)

    def move(
        self, lot: Lot, way: tuple[Place, Place], beets: int, at: datetime
    ) -> None:
        source, target = way
        made = lots.move(
            lot=lot,
            source=source,
            target=target,
            amount=Amount(beets=beets),
            at=at,
            by=self.by,
            now=self.now,
        )
        Filled.objects.create(ret=self.ret, move=made)

    def count_in(self, lot: Lot, beets: int) -> None:
        """Count beets in that no tally has."""
        found = lots.move(
            lot=lot,
            source=Place.LOST,
            target=Place.STOOK,
            amount=Amount(beets=beets),
            loss=Loss.MISCOUNTED,
            at=self.ret.began_at,
            by=self.by,
            now=self.now,
            note=self.ret.why_more,
        )
        Filled.objects.create(ret=self.ret, move=found)

    def mix(self) -> None:
        """Make one lot of all that lies in the dam."""
        inside = lots_of(self.ret)
        if len(inside) < 2:
            return
        new = lots.put_together(
            parts=[(one.lot, Amount(beets=one.beets)) for one in inside],
            place=Place.DAM,
            at=self.ret.began_at,
            by=self.by,
            now=self.now,
            note=_("Mixed in the dam."),
        )
        for move in Move.objects.into(new, Place.DAM):
            Filled.objects.create(ret=self.ret, move=move)


@transaction.atomic
def correct_filling(
    *,
    ret: Ret,
    shares: Mapping[Lot, int],
    reason: str,
    by: User,
    now: datetime,
    mixed: bool = False,
    why_more: str = "",
) -> Ret:
    """Take a filling back, and write down what went in instead; both are kept.

    Raises
    ------
    ValidationError
        If the flax is lifted, nothing went in, nobody says why, or a lot had not so
        many and nobody said why there are more.
    """
    lock(ret.dam.demonstration)
    ret = lock(ret)
    if ret.lifted_at:
        raise ValidationError(
            _("This flax has been lifted. Correct the count on the grass instead.")
        )
    rows = Filled.objects.of_ret(ret).standing().select_related("move")
    for row in rows.order_by("-pk"):
        back = lots.correct(move=row.move, reason=reason, by=by, now=now, as_part=True)
        Filled.objects.create(ret=ret, move=back)
    ret.beets, ret.why_more = sum(shares.values()), why_more.strip()
    if not ret.beets:
        raise ValidationError(_("Enter how many beets of which lot went in."))
    refuse_other_lots(ret, shares)
    ret.full_clean()
    ret.save(update_fields=["beets", "why_more"])
    put_in(ret, shares, mixed=mixed, by=by, now=now)
    return ret


def take_out(ret: Ret, *, at: datetime, by: User | None, now: datetime) -> None:
    """Move what is in the dam onto the grass, lot by lot."""
    book = _RetBook(ret, by, now)
    for one in lots_of(ret):
        beets = min(one.beets, can_go(one.lot, Place.DAM, at))
        if beets:
            book.move(one.lot, (Place.DAM, Place.GRASS), beets, at)
