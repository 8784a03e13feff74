"""Whose law holds at a demonstration, in the words of the calculations."""

from typing import cast

from heritage.calc.young_people import Jurisdiction
from heritage.season.models import Demonstration


def jurisdiction_of(demonstration: Demonstration) -> Jurisdiction:
    """Return whose law holds: the choices of the row are the calculations' own."""
    return cast(Jurisdiction, str(demonstration.jurisdiction))
