"""A likely value and how far on either side of it the truth may lie."""

from collections.abc import Iterable
from dataclasses import dataclass
from math import exp, hypot, inf, log

from ._checks import finite, not_negative, positive


@dataclass(frozen=True, slots=True)
class Band:
    """A low, a likely and a high value of one quantity, in that order.

    Attributes
    ----------
    low, likely, high : float
        The three values, none below the one before it. [the quantity's own unit]
    """

    low: float
    likely: float
    high: float

    def __post_init__(self) -> None:
        """Refuse what could not be."""
        for name in ("low", "likely", "high"):
            finite(getattr(self, name), name)
        if not self.low <= self.likely <= self.high:
            raise ValueError(
                "likely must lie between low and high, "
                f"not {self.low} / {self.likely} / {self.high}"
            )

    def scaled(self, factor: float) -> "Band":
        """Return the band with each of its values times ``factor``.

        Parameters
        ----------
        factor : float
            What to multiply by, not negative. [-]

        Returns
        -------
        Band
            The scaled values, still in order.
        """
        return Band(self.low * factor, self.likely * factor, self.high * factor)

    def inverse(self) -> "Band":
        """Return one over the band, which must lie above nought.

        Returns
        -------
        Band
            One over each value, in order again.
        """
        positive(self.low, "low")
        return Band(1 / self.high, 1 / self.likely, 1 / self.low)


def joined(bands: Iterable[Band]) -> Band:
    """Return the product of independent bands.

    Parameters
    ----------
    bands : iterable of Band
        The factors, none below nought and each likely above it. Their spreads are
        joined as logarithms at right angles: not everything goes wrong at once.

    Returns
    -------
    Band
        The product with its joint range. [the product of the units]

    Raises
    ------
    ValueError
        If a band reaches below nought, or is likely to be nought.
    """
    likely, down, up = 1.0, 0.0, 0.0
    for band in bands:
        not_negative(band.low, "low")
        likely *= positive(band.likely, "likely")
        down = hypot(down, _spread(band.low, band.likely))
        up = hypot(up, _spread(band.likely, band.high))
    return Band(likely * exp(-down), likely, likely * exp(up))


def _spread(lower: float, higher: float) -> float:
    """Return how many times one value is the other, as a logarithm."""
    if lower == higher:
        return 0.0
    return log(higher / lower) if lower > 0 else inf
