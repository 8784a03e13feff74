"""Lots made, moved, parted, put together and corrected.

At every moment all of the crop is somewhere: nothing leaves a place that is not there
then and at every later moment. A lot's beets come from the tally alone; where that is
corrected below what has been moved, the lot is short until somebody settles it, and
nobody's pay waits for it.
"""

import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from heritage.calc.lots import (
    MOST_MOISTURE_PCT,
    could_be_seed,
    could_be_straw,
    dry_mass,
)
from heritage.common.questions import Question
from heritage.common.rows import broken_rules_said, fill_in, lock
from heritage.gatherings.models import Gathering
from heritage.lots.models import Loss, Lot, Move, Place
from heritage.lots.selectors import GRAMS, can_go, short_by, stands, unit_of
from heritage.people.models import User, Volunteer
from heritage.season.models import Demonstration, Plot
from heritage.tally.models import Entry

Values = dict[str, Any]

MORE_BEETS = gettext_lazy(
    "%(lot)s has %(there)d beets %(place)s then, and you're moving %(wanted)d. "
    "Count again, or enter the earlier move first."
)
MORE_GRAMS = gettext_lazy(
    "%(lot)s has %(there)d dry grams %(place)s then, and you're moving "
    "%(wanted)d. Weigh again, or enter the earlier move first."
)


@dataclass(frozen=True, slots=True)
class Amount:
    """How much is moved: beets, or a weight with the water in it, or both at the brake.

    ``dry_g`` says a dry mass that nobody weighed, such as the dust that is missing.
    """

    beets: int | None = None
    weighed_g: int | None = None
    moisture_pct: Decimal | None = None
    dry_g: int | None = None

    @property
    def values(self) -> Values:
        """What a move keeps of it.

        Raises
        ------
        ValidationError
            If something weighs nothing, or more of it is water than can be.
        """
        moisture = self.moisture_pct
        if self.weighed_g is not None and self.weighed_g < 1:
            raise ValidationError({"weighed_g": _("Enter what the scale says.")})
        if moisture is not None and not 0 <= moisture <= MOST_MOISTURE_PCT:
            words = _("Enter the water as a percentage from 0 to 80.")
            raise ValidationError({"moisture_pct": words})
        dry_g = self.dry_g
        if self.weighed_g is not None:
            dry_g = dry_mass(self.weighed_g, moisture)
        permille = None if moisture is None else round(moisture * 10)
        return {
            "beets": self.beets,
            "dry_g": dry_g,
            "weighed_g": self.weighed_g,
            "moisture_permille": permille if self.weighed_g else None,
        }


def ensure_lot(entry: Entry) -> Lot:
    """Return the lot of an entry's evening and plot; the first entry makes it."""
    return lot_of(gathering=entry.gathering, plot=entry.plot, now=entry.entered_at)


@transaction.atomic
def lot_of(*, gathering: Gathering, plot: Plot | None, now: datetime) -> Lot:
    """Return the lot that a gathering pulled of a plot, made now if it is the first."""
    rows = Lot.objects.pulled_at(gathering, plot)
    found = rows.first()
    if found:
        return found
    here = lock(gathering.demonstration)
    made_at = min(gathering.starts_at, now)
    return rows.first() or _new_lot(
        here, gathering=gathering, plot=plot, made_at=made_at
    )


def _new_lot(here: Demonstration, **values: Any) -> Lot:
    """Make a lot of the next number; the demonstration is locked."""
    last = Lot.objects.of(here).aggregate(last=Max("number"))["last"] or 0
    return fill_in(Lot(demonstration=here, number=last + 1), values)


@transaction.atomic
def make_lot(*, demonstration: Demonstration, at: datetime) -> Lot:
    """Make a lot that is no evening's pull: its beets are counted in by a move."""
    return _new_lot(lock(demonstration), made_at=at)


@transaction.atomic
def move(
    *,
    lot: Lot,
    source: str,
    target: str,
    amount: Amount,
    at: datetime,
    by: User | None,
    now: datetime,
    to_lot: Lot | None = None,
    loss: str = "",
    note: str = "",
    who: Volunteer | None = None,
    key: uuid.UUID | None = None,
    sure: bool = False,
) -> Move:
    """Write down that so much of a lot went from one place to another.

    The same key twice is the same move. A question is a refusal under ``sure``.

    Raises
    ------
    ValidationError
        If there was not so much there, then or at any later moment, the moment is in
        the future or before the lot was, or the places, the unit or the loss do not
        go together; and under ``sure``, if so many beets hardly weigh that and nobody
        has said that they do.
    """
    lock(lot.demonstration)
    key = key or uuid.uuid4()
    earlier = Move.objects.of(lot.demonstration).filter(key=key).first()
    if earlier:
        return earlier
    new = Move(
        lot=lot,
        source=source,
        to_lot=to_lot or lot,
        target=target,
        loss=loss,
        at=at,
        who=who,
        note=note.strip(),
        key=key,
        entered_at=now,
        entered_by=by,
        **amount.values,
    )
    _refuse_moment(new, now)
    _refuse_strangers(new)
    if not sure:
        _ask_about_weight(new)
    return _write(new)


def _refuse_moment(new: Move, now: datetime) -> None:
    if new.at > now:
        raise ValidationError(
            {"at": _("That time is in the future. Enter an earlier one.")}
        )
    for lot in {new.lot, new.to_lot}:
        if new.at < lot.made_at:
            since = lot.made_at.astimezone(lot.demonstration.zone)
            words = _("%(lot)s is there since %(day)s at %(time)s, and not before.")
            figures = {
                "lot": lot,
                "day": f"{since.day} {since:%B}",
                "time": f"{since:%H:%M}",
            }
            raise ValidationError({"at": words % figures})


def _refuse_strangers(new: Move) -> None:
    here = new.lot.demonstration_id
    if new.to_lot.demonstration_id != here:
        raise ValidationError(_("%s belongs to another demonstration.") % new.to_lot)
    if new.who and new.who.demonstration_id != here:
        raise ValidationError(
            {"who": _("%s isn't on the list here. Add them first.") % new.who}
        )


def _ask_about_weight(new: Move) -> None:
    """Ask about a weight that so many beets hardly have, with the figures."""
    if new.dry_g is None:
        return
    beet_kg, dry_kg = new.lot.demonstration.beet_kg, new.dry_g / 1000
    if new.target == Place.BRAKE and new.beets:
        least, most = could_be_straw(new.beets, beet_kg)
        beets = new.beets
    elif new.target == Place.SEED and Place(new.source).in_beets:
        beets = max(1, stands(new.lot, new.source, new.at))
        least, most = 0.0, could_be_seed(beets, beet_kg)
    else:
        return
    if least <= dry_kg <= most:
        return
    words = _(
        "%(dry)s kg dry from %(beets)d beets? About %(least)s to %(most)s kg is usual. "
        "Check the weight and its unit; if it's right, say so."
    )
    figures = {
        "dry": f"{dry_kg:,.1f}",
        "beets": beets,
        "least": f"{least:,.1f}",
        "most": f"{most:,.1f}",
    }
    raise ValidationError({"sure": words % figures})


def _write(new: Move) -> Move:
    """Put a move into the book, if it is whole and there is so much there."""
    links = {field.name for field in new._meta.concrete_fields if field.is_relation}
    new.clean_fields(exclude=links)
    new.validate_constraints()
    _refuse_more_than_there(new)
    with broken_rules_said(Move):
        new.save()
    return new


def _refuse_more_than_there(new: Move) -> None:
    """Refuse to take what is not there then, or would be missing later."""
    if new.source == Place.LOST:
        return
    unit = unit_of(new.source)
    there = can_go(new.lot, new.source, new.at)
    # Seed is combed off beets that stay where they are.
    wanted = getattr(new, unit) or 1
    if wanted <= there:
        return
    words = MORE_GRAMS if unit == GRAMS else MORE_BEETS
    figures = {
        "lot": new.lot,
        "place": Place(new.source).label,
        "there": there,
        "wanted": wanted,
    }
    field = "weighed_g" if unit == GRAMS else "beets"
    raise ValidationError({field: words % figures})


# What a move is a part of, where alone it is corrected: said by the dam above.
part_of_a_filling: Question[[Move], str] = Question("Nobody fills dams with lots.")


@transaction.atomic
def correct(
    *,
    move: Move,
    reason: str,
    by: User | None,
    now: datetime,
    as_part: bool = False,
) -> Move:
    """Take a move back by another that goes back at the same moment; both stay.

    ``as_part`` is for the subject of which it is a part.

    Raises
    ------
    ValidationError
        If the reason is missing, it is a correction or corrected already, or what was
        moved is not there any more.
    """
    lock(move.lot.demonstration)
    move = Move.objects.for_page().get(pk=move.pk)
    if move.corrects_id:
        raise ValidationError(_("Correct the first move, not its correction."))
    if Move.objects.filter(corrects=move).exists():
        raise ValidationError(
            _("Somebody has already corrected this move. Reload the page.")
        )
    if not reason.strip():
        raise ValidationError({"reason": _("Say why: the reason is kept.")})
    why_not = "" if as_part else part_of_a_filling(move)
    if why_not:
        raise ValidationError(why_not)
    return _write(
        Move(
            lot=move.to_lot,
            source=move.target,
            to_lot=move.lot,
            target=move.source,
            beets=move.beets,
            dry_g=move.dry_g,
            weighed_g=move.weighed_g,
            moisture_permille=move.moisture_permille,
            loss=move.loss,
            at=move.at,
            corrects=move,
            reason=reason.strip(),
            entered_at=now,
            entered_by=by,
        )
    )


@transaction.atomic
def part(
    *,
    lot: Lot,
    place: str,
    amount: Amount,
    at: datetime,
    by: User,
    now: datetime,
    note: str = "",
    key: uuid.UUID | None = None,
) -> Lot:
    """Make a lot of its own of so much of a lot, where it is.

    The same key twice is the same lot.

    Raises
    ------
    ValidationError
        As for a move.
    """
    return put_together(
        parts=[(lot, amount)], place=place, at=at, by=by, now=now, note=note, key=key
    )


@transaction.atomic
def put_together(
    *,
    parts: Sequence[tuple[Lot, Amount]],
    place: str,
    at: datetime,
    by: User | None,
    now: datetime,
    note: str = "",
    key: uuid.UUID | None = None,
) -> Lot:
    """Make one lot of so much of some others, where they are.

    What came from what stays known. The same key twice is the same lot.

    Raises
    ------
    ValidationError
        If there is nothing to put together, or as for a move.
    """
    if not parts:
        raise ValidationError(_("Choose the lots, and how much of each."))
    here = lock(parts[0][0].demonstration)
    keys = [uuid.uuid5(key or uuid.uuid4(), str(lot.pk)) for lot, _amount in parts]
    earlier = Move.objects.of(here).filter(key=keys[0]).first()
    if earlier:
        return earlier.to_lot
    rippled = {lot.rippled for lot, _amount in parts}
    alike = {"rippled": rippled.pop()} if len(rippled) == 1 else {}
    new = _new_lot(here, made_at=at, **alike)
    for (lot, amount), own_key in zip(parts, keys, strict=True):
        move(
            lot=lot,
            source=place,
            to_lot=new,
            target=place,
            amount=amount,
            at=at,
            by=by,
            now=now,
            note=note,
            key=own_key,
        )
    return new


@transaction.atomic
def settle(*, lot: Lot, note: str, by: User, now: datetime) -> Move:
    """Count in what was moved of a lot and the tally has not, with what is known of it.

    Raises
    ------
    ValidationError
        If the lot is not short, or nothing is said.
    """
    lock(lot.demonstration)
    short = short_by(lot)
    if not short:
        raise ValidationError(_("The tally already has all the beets that were moved."))
    if not note.strip():
        raise ValidationError({"note": _("Say which count was wrong, and why.")})
    return move(
        lot=lot,
        source=Place.LOST,
        target=Place.STOOK,
        amount=Amount(beets=short),
        loss=Loss.MISCOUNTED,
        at=lot.made_at,
        by=by,
        now=now,
        note=note,
    )


@transaction.atomic
def choose_rippling(*, lot: Lot, rippled: str) -> Lot:
    """Keep when the seed of a lot is combed off, if it is."""
    return fill_in(lock(lot), {"rippled": rippled})
