"""Where the crop is: what of each lot is where, from the tally and the moves."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Q, Sum

from heritage.calc.lots import Step, least_left, stands_at
from heritage.common.models import Viewer, demonstrations_of
from heritage.common.questions import Question
from heritage.gatherings.land.selectors import FieldNow
from heritage.gatherings.models import Gathering
from heritage.lots.models import IN_BEETS, IN_GRAMS, Lot, Move, Place
from heritage.lots.words import beets_in_words, in_words, there_in_words
from heritage.season.models import Demonstration
from heritage.tally.models import Entry
from heritage.tally.selectors import FieldProgress, field_progress

# The pictures that were taken of a lot, the newest first: each a row above.
pictures_of: Question[[Lot], Iterable[Any]] = Question("Nobody keeps pictures of lots.")

# What of the crop is not looked for first.
LEFT_OVER = (Place.TOW, Place.SHIVE, Place.SEED, Place.LOST)

SHOWN_MOVES = 12
# What of a lot is at a place: beets, and dry grams.
Amounts = tuple[int, int]
Unit = str
BEETS: Unit = "beets"
GRAMS: Unit = "dry_g"


def unit_of(place: str) -> Unit:
    """Return what is counted at a place."""
    return BEETS if Place(place).in_beets else GRAMS


@dataclass(frozen=True, slots=True)
class LotAt:
    """What of one lot is at one place: beets, or dry grams from the brake on."""

    lot: Lot
    beets: int
    dry_g: int


def pulled_beets(lot: Lot) -> int:
    """Return what the tally has pulled of a lot; nothing for one made of others."""
    if lot.gathering_id is None:
        return 0
    rows = Entry.objects.filter(gathering=lot.gathering_id, plot=lot.plot_id)
    return rows.beets()


def steps(lot: Lot, place: str) -> list[Step]:
    """Return all that came to a place of a lot and went from it: three queries."""
    unit = unit_of(place)
    into = Move.objects.into(lot, place).values_list("at", unit)
    out_of = Move.objects.out_of(lot, place).values_list("at", unit)
    found = [(at, amount or 0) for at, amount in into]
    found += [(at, -(amount or 0)) for at, amount in out_of]
    if place == Place.STOOK:
        found.append((lot.made_at, pulled_beets(lot)))
    return found


def can_go(lot: Lot, place: str, at: datetime) -> int:
    """Return how much can leave a place at a moment: never below nothing.

    No later moment falls short by it.
    """
    return max(0, least_left(steps(lot, place), at))


def stands(lot: Lot, place: str, at: datetime) -> int:
    """Return how much of a lot is at a place at a moment."""
    return stands_at(steps(lot, place), at)


def short_by(lot: Lot) -> int:
    """Return how many beets more were moved than the tally has, at the worst moment."""
    return max(0, -least_left(steps(lot, Place.STOOK)))


def balances(
    demonstration: Demonstration,
    at: datetime | None = None,
    pulled: Mapping[int, int] | None = None,
) -> Mapping[tuple[int, str], Amounts]:
    """Return what of each lot is at each place, by key and place: four queries.

    ``at`` asks about a moment that has passed; nothing lets all moves count. What was
    ``pulled`` may be known already.
    """
    found: dict[tuple[int, str], list[int]] = defaultdict(lambda: [0, 0])
    moves = Move.objects.of(demonstration)
    moves = moves.filter(at__lte=at) if at else moves
    for lot, place, sign in (("to_lot", "target", 1), ("lot", "source", -1)):
        sums = moves.order_by().values_list(lot, place)
        for key, where, beets, grams in sums.annotate(Sum("beets"), Sum("dry_g")):
            _count(found[key, where], where, sign, beets, grams)
    pulled = _pulled(demonstration, at) if pulled is None else pulled
    for key, beets in pulled.items():
        found[key, Place.STOOK][0] += beets
    return {key: (beets, grams) for key, (beets, grams) in found.items()}


def _count(
    amounts: list[int], place: str, sign: int, beets: int | None, grams: int | None
) -> None:
    """Count beets where there are beets and grams where there are grams."""
    if place not in IN_GRAMS:
        amounts[0] += sign * (beets or 0)
    if place not in IN_BEETS:
        amounts[1] += sign * (grams or 0)


def _pulled(demonstration: Demonstration, at: datetime | None) -> dict[int, int]:
    """Return the beets that the tally has of each pulled lot: two queries."""
    lots = Lot.objects.of(demonstration).filter(gathering__isnull=False)
    lots = lots.filter(made_at__lte=at) if at else lots
    sums = Entry.objects.of(demonstration).order_by().values_list("gathering", "plot")
    beets = {
        (gathering, plot): total
        for gathering, plot, total in sums.annotate(Sum("beets"))
    }
    rows = lots.values_list("pk", "gathering", "plot")
    return {pk: beets.get((gathering, plot), 0) for pk, gathering, plot in rows}


def lots_at(
    demonstration: Demonstration, place: str, at: datetime | None = None
) -> list[LotAt]:
    """Return what is at a place, lot by lot, the oldest lot first: five queries."""
    there = balances(demonstration, at)
    rows = Lot.objects.of(demonstration).with_its_pull().by_number()
    found = [LotAt(lot, *there.get((lot.pk, place), (0, 0))) for lot in rows]
    return [one for one in found if one.beets > 0 or one.dry_g > 0]


def stock(demonstration: Demonstration) -> dict[Place, Amounts]:
    """Return what is at each place where there is anything, in the order of work."""
    there = _in_all(balances(demonstration))
    return {here.place: (here.beets, here.dry_g) for here in there}


def field_now(
    demonstration: Demonstration, progress: FieldProgress | None = None
) -> FieldNow | None:
    """Return what stands and is in stooks: four queries, and two for the progress."""
    progress = progress or field_progress(demonstration)
    if not progress.has_stand:
        return None
    beets, _dry_g = stock(demonstration).get(Place.STOOK, (0, 0))
    return FieldNow(
        low_percent=progress.low_percent,
        high_percent=progress.high_percent,
        is_measured=progress.stand.is_measured,
        pulled_words=progress.pulled_words,
        stooks=max(0, beets) // progress.beets_per_stook,
    )


def came_from(lot: Lot) -> list[Lot]:
    """Return the lots of which some went into this one."""
    rows = Lot.objects.of(lot.demonstration).exclude(pk=lot.pk)
    into = Q(moves__to_lot=lot, moves__corrects=None, moves__correction=None)
    return list(rows.filter(into).with_its_pull().by_number().distinct())


def went_into(lot: Lot) -> list[Lot]:
    """Return the lots into which some of this one went."""
    rows = Lot.objects.of(lot.demonstration).exclude(pk=lot.pk)
    out = Q(moves_in__lot=lot, moves_in__corrects=None, moves_in__correction=None)
    return list(rows.filter(out).with_its_pull().by_number().distinct())


@dataclass(frozen=True, slots=True)
class Here:
    """What of a lot, or of all the crop, is at one place."""

    place: Place
    beets: int
    dry_g: int

    @property
    def how_much(self) -> str:
        if self.place == Place.LOST:
            return self.words
        return in_words(self.beets, self.dry_g)

    @property
    def words(self) -> str:
        return there_in_words(self.place, self.beets, self.dry_g)


@dataclass(frozen=True, slots=True)
class LotLine:
    """A lot as a list shows it: what was pulled, where it is, and what is missing."""

    lot: Lot
    pulled: int
    where: tuple[Here, ...]
    short: int

    @property
    def pull(self) -> str:
        return beets_in_words(self.pulled)

    @property
    def where_words(self) -> str:
        return ", ".join(here.words for here in self.where if here.words)

    def at(self, place: str) -> int:
        """Return what there is at a place, in its own unit."""
        for here in self.where:
            if here.place == place:
                return max(0, here.beets if here.place.in_beets else here.dry_g)
        return 0

    def lot_at(self, place: str) -> list[LotAt]:
        """Return what of it is at a place, as for several lots there."""
        there = [here for here in self.where if here.place == place]
        return [LotAt(self.lot, here.beets, here.dry_g) for here in there]

    @property
    def to_move(self) -> tuple[Here, ...]:
        """Where there is some that goes on by hand: out of a dam goes a whole ret."""
        return tuple(here for here in self.at_hand if here.place != Place.DAM)

    @property
    def to_carry(self) -> tuple[Here, ...]:
        """Where there are beets that people carry; a dam is filled on its own page."""
        return tuple(here for here in self.to_move if here.place.in_beets)

    @property
    def at_hand(self) -> tuple[Here, ...]:
        """Where there is some that can be moved."""
        return tuple(
            here
            for here in self.where
            if here.place != Place.LOST and max(here.beets, here.dry_g) > 0
        )


@dataclass(frozen=True, slots=True)
class CropPage:
    """Where everything is now, in all and lot by lot."""

    pulled: int
    places: tuple[Here, ...]
    lots: tuple[LotLine, ...]

    @property
    def where(self) -> str:
        """Where the crop is, but for what is only left over or lost."""
        return ", ".join(one.words for one in self.places if one.place not in LEFT_OVER)

    @property
    def left_over(self) -> str:
        """The tow, the shive, the seed, and what is lost."""
        return ", ".join(one.words for one in self.places if one.place in LEFT_OVER)

    @property
    def short(self) -> tuple[LotLine, ...]:
        """The lots of which more was moved than the tally has."""
        return tuple(line for line in self.lots if line.short)

    @property
    def to_move(self) -> LotLine | None:
        """The newest lot of which some may be moved."""
        return next((line for line in self.lots if line.to_move), None)


def crop_page(demonstration: Demonstration) -> CropPage:
    """Gather where the crop is: a fixed number of queries."""
    pulled = _pulled(demonstration, None)
    amounts = balances(demonstration, pulled=pulled)
    missing = shortages(demonstration, pulled)
    lots = Lot.objects.of(demonstration).with_its_pull().newest_first()
    return CropPage(
        pulled=sum(pulled.values()),
        places=_in_all(amounts),
        lots=tuple(
            LotLine(lot, pulled.get(lot.pk, 0), _where(amounts, lot), missing[lot.pk])
            for lot in lots
        ),
    )


def _where(amounts: Mapping[tuple[int, str], Amounts], lot: Lot) -> tuple[Here, ...]:
    there = ((place, amounts.get((lot.pk, place), (0, 0))) for place in Place)
    return tuple(Here(place, *found) for place, found in there if found != (0, 0))


def _in_all(amounts: Mapping[tuple[int, str], Amounts]) -> tuple[Here, ...]:
    sums: dict[str, list[int]] = defaultdict(lambda: [0, 0])
    for (_lot, place), (beets, grams) in amounts.items():
        sums[place][0] += beets
        sums[place][1] += grams
    return tuple(
        Here(place, *sums[place])
        for place in Place
        if place in sums and sums[place] != [0, 0]
    )


def lots_at_hand(demonstration: Demonstration) -> list[Lot]:
    """Return the lots of which there is something, the oldest first."""
    lines = crop_page(demonstration).lots
    return [line.lot for line in reversed(lines) if line.at_hand]


def lots_to_carry(demonstration: Demonstration) -> list[LotLine]:
    """Return the lots of which there are beets to carry somewhere: five queries."""
    amounts = balances(demonstration)
    rows = Lot.objects.of(demonstration).with_its_pull().newest_first()
    lines = (LotLine(lot, 0, _where(amounts, lot), 0) for lot in rows)
    return [line for line in lines if line.to_carry]


def shortages(
    demonstration: Demonstration, pulled: Mapping[int, int]
) -> Mapping[int, int]:
    """Return by how many beets lots are short, by key: one query."""
    steps = _steps_at(demonstration, [Place.STOOK])
    found: dict[int, int] = defaultdict(int)
    for (lot, _place), taken in steps.items():
        found[lot] = max(0, -least_left(taken) - pulled.get(lot, 0))
    return found


def _steps_at(
    demonstration: Demonstration, places: Sequence[str]
) -> dict[tuple[int, str], list[Step]]:
    """Return what was moved to some places of each lot, and from them: one query."""
    found: dict[tuple[int, str], list[Step]] = defaultdict(list)
    rows = Move.objects.of(demonstration)
    rows = rows.filter(Q(source__in=places) | Q(target__in=places))
    for move in rows:
        if move.source in places:
            amount = getattr(move, unit_of(move.source)) or 0
            found[move.lot_id, move.source].append((move.at, -amount))
        if move.target in places:
            amount = getattr(move, unit_of(move.target)) or 0
            found[move.to_lot_id, move.target].append((move.at, amount))
    return found


def can_go_from(
    demonstration: Demonstration, places: Sequence[str], at: datetime
) -> dict[tuple[Lot, str], int]:
    """Return how much of each lot can leave some places at a moment: four queries.

    Only what there is some of is told, the oldest lot first.
    """
    steps, pulled = _steps_at(demonstration, places), _pulled(demonstration, at)
    found = {}
    for lot in Lot.objects.of(demonstration).with_its_pull().by_number():
        for place in places:
            taken = list(steps.get((lot.pk, place), []))
            if place == Place.STOOK:
                taken.append((lot.made_at, pulled.get(lot.pk, 0)))
            there = least_left(taken, at)
            if there > 0:
                found[lot, place] = there
    return found


@dataclass(frozen=True, slots=True)
class MoveLine:
    """A move in words; ``other`` is the lot it came from or went into."""

    move: Move
    how_much: str
    other: Lot | None

    @property
    def may_be_corrected(self) -> bool:
        """Whether it stands as it was written down."""
        return not self.move.corrects_id and not hasattr(self.move, "correction")


@dataclass(frozen=True, slots=True)
class LotPage:
    """All that is known of one lot; its newest move first."""

    line: LotLine
    moves: tuple[MoveLine, ...]
    came_from: tuple[Lot, ...]
    went_into: tuple[Lot, ...]
    pictures: tuple[Any, ...]

    @property
    def lot(self) -> Lot:
        return self.line.lot

    @property
    def recent(self) -> tuple[MoveLine, ...]:
        return self.moves[:SHOWN_MOVES]

    @property
    def before(self) -> tuple[MoveLine, ...]:
        return self.moves[SHOWN_MOVES:]


def lot_page(lot: Lot) -> LotPage:
    """Gather where a lot is, what was done with it, and what came from what."""
    moves = Move.objects.touching([lot]).for_page()
    return LotPage(
        line=lot_line(lot),
        moves=tuple(move_line(move, lot) for move in reversed(moves)),
        came_from=tuple(came_from(lot)),
        went_into=tuple(went_into(lot)),
        pictures=tuple(pictures_of(lot)),
    )


def lot_line(lot: Lot) -> LotLine:
    """Say where one lot is, and whether it is short."""
    amounts = balances(lot.demonstration)
    return LotLine(lot, pulled_beets(lot), _where(amounts, lot), short_by(lot))


def places_of_several(demonstration: Demonstration) -> list[Place]:
    """Return the places where more lots than one are, in the order of the work."""
    places: dict[str, int] = defaultdict(int)
    for (_lot, place), (beets, grams) in balances(demonstration).items():
        places[place] += max(beets, grams) > 0
    several = [place for place in Place if places.get(place, 0) > 1]
    return [place for place in several if place not in (Place.DAM, Place.LOST)]


def may_write(user: Viewer, demonstration: Demonstration) -> bool:
    """Tell whether somebody organises here or leads an evening, and so moves lots."""
    led = Gathering.objects.led_by(user).of(demonstration)
    organised = demonstrations_of(user, organised=True)
    return demonstration.pk in organised or led.exists()


def move_line(move: Move, lot: Lot) -> MoveLine:
    ends = [one for one in (move.lot, move.to_lot) if one.pk != lot.pk]
    words = in_words(move.beets or 0, move.dry_g or 0)
    return MoveLine(move, words, ends[0] if ends else None)


# Where a lot may go from each place by hand. Into a dam and out of it goes a ret.
_FIELD = (Place.STOOK, Place.CART, Place.STORE, Place.BRAKE, Place.SEED, Place.LOST)
WAYS: Mapping[Place, tuple[Place, ...]] = {
    Place.STOOK: _FIELD,
    Place.CART: _FIELD,
    Place.DAM: (Place.LOST,),
    Place.GRASS: (Place.CART, Place.STORE, Place.BRAKE, Place.SEED, Place.LOST),
    Place.STORE: _FIELD,
    Place.BRAKE: (Place.SCUTCH, Place.SHIVE, Place.TOW, Place.SEED, Place.LOST),
    Place.SCUTCH: (
        Place.HACKLE, Place.LINE, Place.TOW, Place.SHIVE, Place.BRAKE, Place.LOST,
    ),
    Place.HACKLE: (Place.LINE, Place.TOW, Place.SHIVE, Place.SCUTCH, Place.LOST),
    Place.LINE: (Place.HACKLE, Place.LOST),
    Place.TOW: (Place.HACKLE, Place.LOST),
    Place.SHIVE: (Place.LOST,),
    Place.SEED: (Place.LOST,),
    Place.LOST: (Place.STOOK, Place.CART, Place.GRASS, Place.STORE),
}  # fmt: skip


def ways_from(place: Place) -> tuple[Place, ...]:
    """Return where a lot may go from a place by hand."""
    return tuple(one for one in WAYS[place] if one != place)
