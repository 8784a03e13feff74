"""Token pay, in old money and in new."""

from dataclasses import dataclass

from heritage.calc import money
from heritage.calc.tally import Statement, settle
from heritage.season.models import Demonstration


@dataclass(frozen=True, slots=True)
class Pay:
    """An amount of token pay, ready to be read."""

    farthings: int

    @property
    def old(self) -> str:
        return money.write_old(self.farthings)

    @property
    def new(self) -> str:
        return money.write_new(self.farthings)


def settled(beets: int, demonstration: Demonstration) -> Statement:
    """Settle a count of beets by the demonstration's own rate and rule."""
    return settle(
        beets,
        beets_per_stook=demonstration.beets_per_stook,
        rate_farthings=demonstration.token_rate_farthings,
        part_stooks=demonstration.part_stooks_rule,
    )
