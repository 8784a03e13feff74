"""What the moves say of the season: which stages go on, and what wants doing today."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from heritage.lots.models import Lot, Move, Place
from heritage.lots.selectors import CropPage, LotLine, crop_page
from heritage.season.models import Demonstration, Stage
from heritage.season.selectors import Followed

# Beets that are still on the cart after a night may heat: our own rule.
CART_EMPTIED_WITHIN = timedelta(hours=12)


@dataclass(frozen=True, slots=True)
class OnCart:
    """Beets of a lot that are on the cart, and since when the last were put there."""

    lot: Lot
    beets: int
    since: datetime


@dataclass(frozen=True, slots=True)
class Matters:
    """What of the crop wants doing: lots to settle, and carts to empty."""

    short: tuple[LotLine, ...]
    carts: tuple[OnCart, ...]


def crop_matters(demonstration: Demonstration, now: datetime) -> Matters:
    """Return what of the crop wants doing: a fixed number of queries."""
    page = crop_page(demonstration)
    carts = _on_carts(demonstration, page)
    left = tuple(one for one in carts if now - one.since > CART_EMPTIED_WITHIN)
    return Matters(page.short, left)


def _on_carts(demonstration: Demonstration, page: CropPage) -> list[OnCart]:
    rows = Move.objects.of(demonstration).standing().filter(target=Place.CART)
    since = dict(rows.in_order().values_list("to_lot", "at"))
    return [
        OnCart(line.lot, line.at(Place.CART), since[line.lot.pk])
        for line in page.lots
        if line.at(Place.CART) and line.lot.pk in since
    ]


def stages_followed(demonstration: Demonstration) -> dict[Stage, Followed]:
    """Say of each stage from when to when the moves show it: a fixed number of queries.

    A stage goes on while something is where it lasts. Pulling begins with the first
    lot, and only somebody's word ends it.
    """
    page = crop_page(demonstration)
    there = {here.place for here in page.places if max(here.beets, here.dry_g) > 0}
    steps = _steps(demonstration, page)
    found = {}
    for stage in Stage:
        kind = stage.kind
        days = [
            step.day
            for step in steps
            if step.target == kind.fills != "" or step.source == kind.empties != ""
        ]
        if days:
            goes_on = kind.lasts_at in there
            found[stage] = Followed(days[0], None if goes_on else days[-1])
    pulled = [step.day for step in steps if not step.source]
    if pulled:
        found[Stage.PULLING] = Followed(pulled[0], None)
    return found


@dataclass(frozen=True, slots=True, order=True)
class _Step:
    """Something of the crop went from one place to another; pulled, from none."""

    day: date
    source: str
    target: str


def _steps(demonstration: Demonstration, page: CropPage) -> list[_Step]:
    """Return what was pulled and what was moved, by days; what is lost is no work."""
    zone = demonstration.zone
    pulled = [
        _Step(line.lot.made_at.astimezone(zone).date(), "", Place.STOOK)
        for line in page.lots
        if line.pulled > 0
    ]
    moved = [
        _Step(move.at.astimezone(zone).date(), move.source, move.target)
        for move in Move.objects.of(demonstration).standing()
        if Place.LOST not in (move.source, move.target) and move.source != move.target
    ]
    return sorted(pulled + moved)
