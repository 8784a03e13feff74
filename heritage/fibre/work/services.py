"""Breaking, scutching and hackling: what went in, what came out, and what is left."""

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from typing import Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.calc.lots import dry_mass
from heritage.common.rows import fill_in, lock
from heritage.fibre.models import Session, SessionMove, Work
from heritage.lots.models import Loss, Lot, Move, Place
from heritage.lots.selectors import can_go
from heritage.lots.services import Amount, move, put_together
from heritage.lots.words import kilograms
from heritage.people.models import User
from heritage.season.models import Demonstration

# Scales differ: so much more may come out than went in before it is refused.
SLACK: Final = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class Out:
    """What came out, in grams on the scale, and the water in all of it."""

    onward_g: int | None = None
    tow_g: int | None = None
    shive_g: int | None = None
    left_g: int | None = None
    moisture_pct: Decimal | None = None

    def dry(self, grams: int | None) -> int:
        """Return the dry grams of a weight."""
        return dry_mass(grams, self.moisture_pct) if grams else 0

    @property
    def dry_g(self) -> int:
        """All that came out or is left, dry."""
        weights = (self.onward_g, self.tow_g, self.shive_g, self.left_g)
        return sum(self.dry(grams) for grams in weights)


@dataclass(frozen=True, slots=True)
class Opened:
    """Beets opened at the brake: how many of each lot, and what they weigh."""

    beets: Mapping[Lot, int]
    weighed_g: int | None
    moisture_pct: Decimal | None


@transaction.atomic
def hold_session(
    *,
    demonstration: Demonstration,
    work: str,
    opened: Opened,
    lots: Sequence[Lot],
    out: Out,
    began_at: datetime,
    ended_at: datetime,
    by: User,
    now: datetime,
    where: str = "",
    people: int | None = None,
    note: str = "",
    sure: bool = False,
    key: uuid.UUID | None = None,
) -> Session:
    """Write down a session: what of which lots was worked, and what it gave.

    Beets are opened at the brake; what lies at a piece of work already is taken whole.
    Several lots worked together become a new one. What went in and did not come out is
    lost as dust.

    Raises
    ------
    ValidationError
        If nothing was worked, the times are wrong, more came out than went in, a weight
        can hardly be and nobody said that it is right, or as for a move.
    """
    lock(demonstration)
    key = key or uuid.uuid4()
    earlier = SessionMove.objects.filter(move__key=uuid.uuid5(key, "onward")).first()
    if earlier:
        return earlier.session
    _refuse_times(began_at, ended_at, now)
    kind = Work(work)
    bench = _Bench(kind, began_at, ended_at, by, now, key)
    lot, there = bench.take(opened, lots, sure=sure)
    if not out.onward_g:
        raise ValidationError(
            {"onward_g": _("Enter the weight that goes on to the next step.")}
        )
    left = out.dry(out.left_g)
    if left >= there:
        words = _("All of it is left, so nothing was worked. Enter less as left.")
        raise ValidationError({"left_g": words})
    _refuse_more_out(there, out)
    session = fill_in(
        Session(demonstration=demonstration, entered_by=by, entered_at=now),
        {
            "work": work, "lot": lot, "began_at": began_at, "ended_at": ended_at,
            "where": where.strip(), "people": people, "note": note.strip(),
            "in_dry_g": there - left,
        },
    )  # fmt: skip
    moves = [*bench.made, *bench.give(lot, there, out)]
    for one in moves:
        fill_in(SessionMove(session=session), {"move": one})
    return session


def _refuse_times(began_at: datetime, ended_at: datetime, now: datetime) -> None:
    if ended_at > now:
        raise ValidationError(
            {"ended_at": _("That time is in the future. Enter an earlier one.")}
        )
    if ended_at <= began_at:
        raise ValidationError(
            {"ended_at": _("The end is before the start. Check both times.")}
        )


def _refuse_more_out(there: int, out: Out) -> None:
    """Refuse more out than in, with the figures; a scale's slack is let pass."""
    if out.dry_g <= there * (1 + SLACK):
        return
    words = _(
        "%(out)s kg came out or are left, and only %(there)s kg went in (both without "
        "their water). Weigh again, or check the moisture."
    )
    said = words % {"out": kilograms(out.dry_g), "there": kilograms(there)}
    if out.dry_g <= 1000 * there and out.dry_g >= 50 * there:
        said += " " + _("Is that in grams? Write kilograms.")
    raise ValidationError({"onward_g": said})


@dataclass(frozen=True, slots=True)
class _Bench:
    """The work's place, and the moves to it and from it."""

    work: Work
    began_at: datetime
    ended_at: datetime
    by: User
    now: datetime
    key: uuid.UUID
    made: list[Move] = field(default_factory=list)

    @property
    def place(self) -> Place:
        return self.work.place

    def take(
        self, opened: Opened, lots: Sequence[Lot], *, sure: bool
    ) -> tuple[Lot, int]:
        """Return the lot that is worked, and its dry grams at the work."""
        beets = {lot: count for lot, count in opened.beets.items() if count}
        if beets and lots:
            raise ValidationError(
                _("Choose one: open new beets, or go on with what's there.")
            )
        if beets:
            return self._open(beets, opened, sure=sure)
        if not lots:
            raise ValidationError(_("Choose what was worked."))
        return self._gather(lots)

    def _open(
        self, beets: Mapping[Lot, int], opened: Opened, *, sure: bool
    ) -> tuple[Lot, int]:
        total, weighed = sum(beets.values()), opened.weighed_g
        if weighed is None:
            raise ValidationError(
                {"weighed_g": _("Enter the weight of the straw you opened.")}
            )
        lot = self._together(
            Place.STORE, {one: Amount(beets=count) for one, count in beets.items()}
        )
        amount = Amount(
            beets=total, weighed_g=weighed, moisture_pct=opened.moisture_pct
        )
        made = move(
            lot=lot,
            source=Place.STORE,
            target=Place.BRAKE,
            amount=amount,
            at=self.began_at,
            by=self.by,
            now=self.now,
            key=uuid.uuid5(self.key, "opened"),
            sure=sure,
        )
        self.made.append(made)
        return lot, made.dry_g or 0

    def _gather(self, lots: Sequence[Lot]) -> tuple[Lot, int]:
        there = {lot: can_go(lot, self.place, self.began_at) for lot in lots}
        for lot, grams in there.items():
            if not grams:
                words = _(
                    "Nothing of %(lot)s was %(place)s when this began. Please check "
                    "when it began."
                )
                raise ValidationError(words % {"lot": lot, "place": self.place.label})
        amounts = {lot: Amount(dry_g=grams) for lot, grams in there.items()}
        return self._together(self.place, amounts), sum(there.values())

    def _together(self, place: Place, amounts: Mapping[Lot, Amount]) -> Lot:
        """Return the one lot, or a new one made of several."""
        if len(amounts) == 1:
            return next(iter(amounts))
        return put_together(
            parts=list(amounts.items()),
            place=place,
            at=self.began_at,
            by=self.by,
            now=self.now,
            key=uuid.uuid5(self.key, "together"),
        )

    def give(self, lot: Lot, there: int, out: Out) -> list[Move]:
        """Move what came out on, and what is missing to the dust."""
        found, left = [], there - out.dry(out.left_g)
        products = (
            ("onward", self.work.onward, out.onward_g),
            ("tow", Place.TOW, out.tow_g),
            ("shive", Place.SHIVE, out.shive_g),
        )
        for name, target, grams in products:
            # The scales' slack may leave nothing for the last of them.
            if not grams or left <= 0:
                continue
            amount = self._amount(grams, out.moisture_pct, left)
            made = self._move(lot, target, amount, name)
            left -= made.dry_g or 0
            found.append(made)
        if left > 0:
            dust = Amount(dry_g=left)
            found.append(self._move(lot, Place.LOST, dust, "dust", loss=Loss.DUST))
        return found

    def _amount(self, grams: int, moisture: Decimal | None, left: int) -> Amount:
        """Return a weight, or what there is where the scales differ by their slack."""
        if dry_mass(grams, moisture) <= left:
            return Amount(weighed_g=grams, moisture_pct=moisture)
        return Amount(dry_g=left)

    def _move(
        self,
        lot: Lot,
        target: Place,
        amount: Amount,
        name: str,
        *,
        loss: str = "",
    ) -> Move:
        return move(
            lot=lot, source=self.place, target=target, amount=amount,
            at=self.ended_at, by=self.by, now=self.now, loss=loss,
            key=uuid.uuid5(self.key, name),
        )  # fmt: skip
