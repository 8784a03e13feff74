"""All that is where, taken once for a page that asks about several places."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from heritage.lots.models import Lot, Place
from heritage.lots.selectors import Amounts, LotAt, balances
from heritage.season.models import Demonstration


@dataclass(frozen=True, slots=True)
class Stock:
    """What of each lot is at each place."""

    demonstration: Demonstration
    lots: tuple[Lot, ...]
    amounts: Mapping[tuple[int, str], Amounts]

    def of(self, lot: int, place: str) -> Amounts:
        """Return the beets and dry grams of a lot at a place."""
        return self.amounts.get((lot, place), (0, 0))

    def at(self, *places: str) -> list[LotAt]:
        """Return what of each lot is at some places together, the oldest first."""
        found = []
        for lot in self.lots:
            beets, grams = (
                sum(self.of(lot.pk, place)[n] for place in places) for n in (0, 1)
            )
            if beets > 0 or grams > 0:
                found.append(LotAt(lot, beets, grams))
        return found

    def beets(self, places: Iterable[str]) -> int:
        """Return all the beets at some places."""
        return sum(one.beets for one in self.at(*places))

    def grams(self, *places: Place) -> int:
        """Return all the dry grams at some places."""
        return sum(one.dry_g for one in self.at(*places))


def take_stock(demonstration: Demonstration) -> Stock:
    """Count everything everywhere: five queries."""
    lots = Lot.objects.of(demonstration).with_its_pull().by_number()
    return Stock(demonstration, tuple(lots), balances(demonstration))
