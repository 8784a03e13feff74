"""A likely value and how far on either side of it the truth may lie."""

from dataclasses import dataclass

from ._checks import finite


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
