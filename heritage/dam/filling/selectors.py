"""What may go into a dam, lot by lot, and what is in it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _

from heritage.dam.models import Filled, Ret
from heritage.lots.models import Lot, Move, Place
from heritage.lots.selectors import can_go_from
from heritage.season.models import Demonstration
from heritage.tally.models import Entry

# What is on the cart goes in before what still stands in the field.
BEFORE_THE_DAM = (Place.CART, Place.STOOK)


@dataclass(frozen=True, slots=True)
class CanGoIn:
    """What of a lot may go into a dam."""

    lot: Lot
    on_cart: int
    in_field: int

    @property
    def beets(self) -> int:
        return self.on_cart + self.in_field


@dataclass(frozen=True, slots=True)
class BeetsLeft:
    """The beets that may still go into a dam, in the field and on the cart."""

    pulled: int
    steeped: int
    lots: tuple[CanGoIn, ...]

    @property
    def free(self) -> int:
        """How many can go in."""
        return sum(one.beets for one in self.lots)

    @property
    def elsewhere(self) -> int:
        """How many went neither into dams nor can go in: lost, in store, on grass."""
        return max(0, self.pulled - self.steeped - self.free)


def beets_left(demonstration: Demonstration, at: datetime) -> BeetsLeft:
    """Set what was pulled against what went into dams: a fixed number of queries."""
    there = can_go_from(demonstration, BEFORE_THE_DAM, at)
    lots = dict.fromkeys(lot for lot, _place in there)
    return BeetsLeft(
        pulled=Entry.objects.of(demonstration).beets(),
        steeped=went_in(demonstration),
        lots=tuple(
            CanGoIn(lot, *(there.get((lot, place), 0) for place in BEFORE_THE_DAM))
            for lot in lots
        ),
    )


def went_in(demonstration: Demonstration) -> int:
    """Return how many beets of lots went into the dams, lifted or not: one query."""
    rows = Filled.objects.of(demonstration).standing()
    rows = rows.filter(move__target=Place.DAM)
    return rows.exclude(move__source=Place.DAM).beets()


@dataclass(frozen=True, slots=True)
class LotIn:
    """So many beets of a lot that are in a dam, or were when it was lifted."""

    lot: Lot
    beets: int


def lots_of(ret: Ret) -> tuple[LotIn, ...]:
    """Return the lots that a dam was filled with, as they lay in it: two queries."""
    into = Filled.objects.of_ret(ret).exclude(move__target=Place.GRASS)
    beets: Mapping[int, int] = into.beets_of_lots()
    rows = Lot.objects.filter(pk__in=beets).with_its_pull().by_number()
    return tuple(LotIn(lot, beets[lot.pk]) for lot in rows)


@dataclass(frozen=True, slots=True)
class Refilled:
    """What of a lot is in a dam by now, and what more may have gone in."""

    lot: Lot
    inside: int
    left: int


def may_have_gone_in(ret: Ret) -> tuple[Refilled, ...]:
    """Return the lots that may have gone into a dam when it was filled."""
    inside = {one.lot: one.beets for one in lots_of(ret)}
    left = {
        one.lot: one.beets
        for one in beets_left(ret.dam.demonstration, ret.began_at).lots
    }
    lots = sorted({*inside, *left}, key=lambda lot: lot.number)
    return tuple(Refilled(lot, inside.get(lot, 0), left.get(lot, 0)) for lot in lots)


def why_not_corrected(move: Move) -> str:
    """Say why a move is not corrected by itself: it filled a dam, or emptied one."""
    row = Filled.objects.filter(move=move).select_related("ret__dam").first()
    if row is None:
        return ""
    return _("It belongs to the filling of %s: correct that on the dam's page.") % (
        row.ret.dam
    )
