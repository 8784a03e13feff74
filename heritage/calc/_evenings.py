"""The finish in closed form, for evenings all alike and weather without memory."""

from bisect import bisect_left
from dataclasses import dataclass

from scipy.special import nbdtr

from heritage.calc._checks import fraction, whole


@dataclass(frozen=True, slots=True)
class EveningsNeeded:
    """How many evenings it takes until enough of them were dry.

    Attributes
    ----------
    dry : int
        Dry evenings needed.
    dry_chance : float
        Chance that any one evening is dry.
    mean, sd : float
        Mean number of evenings, dry and wet alike, and its standard deviation.
    """

    dry: int
    dry_chance: float
    mean: float
    sd: float

    def chance(self, evenings: int) -> float:
        """Give the chance that so many evenings are enough.

        Parameters
        ----------
        evenings : int
            Evenings, dry and wet alike; not negative.

        Returns
        -------
        float
            The chance.
        """
        wet = whole(evenings, "evenings") - self.dry
        if self.dry == 0 or wet < 0:
            return float(wet >= 0)
        return float(nbdtr(wet, self.dry, self.dry_chance))

    def evenings_at(self, q: float) -> int:
        """Give the fewest evenings that are enough with chance ``q``.

        Parameters
        ----------
        q : float
            The chance asked for, from 0 to below 1.

        Returns
        -------
        int
            Evenings, dry and wet alike.
        """
        asked = fraction(q, "q")
        if self.dry == 0 or asked == 0 or self.dry_chance == 1:
            return self.dry
        if asked == 1:
            raise ValueError("q must be below 1: no number of evenings is certain")
        # A chance of exactly q must not be missed by a rounding.
        least, enough = asked - 1e-12, self.dry
        while self.chance(enough) < least:
            enough *= 2
        return bisect_left(range(enough), least, key=self.chance)


def evenings_needed(k: int, p: float) -> EveningsNeeded:
    """Say how many evenings it takes to get ``k`` dry ones.

    Parameters
    ----------
    k : int
        Dry evenings needed; not negative.
    p : float
        Chance that any one evening is dry, above 0 and up to 1, whatever the one
        before was. Real weather keeps on as it is, which widens the spread: use
        ``finish_forecast``.

    Returns
    -------
    EveningsNeeded
        Mean k/p and variance k(1 - p)/p², and chances.

    Raises
    ------
    ValueError
        If ``k`` or ``p`` is out of its range.

    References
    ----------
    .. [1] The negative binomial distribution.
    """
    dry, chance = whole(k, "k"), fraction(p, "p")
    if chance == 0:
        raise ValueError("p must be above zero, not 0")
    return EveningsNeeded(
        dry, chance, mean=dry / chance, sd=(dry * (1 - chance)) ** 0.5 / chance
    )
