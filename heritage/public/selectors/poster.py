"""What a gathering's poster tells."""

from dataclasses import dataclass

from heritage.gatherings.models import Gathering
from heritage.gatherings.selectors import GatheringLine, gathering_lines


@dataclass(frozen=True, slots=True)
class Poster:
    """A gathering with its light and its newest call, to be hung on a gate."""

    line: GatheringLine

    @property
    def gathering(self) -> Gathering:
        return self.line.gathering

    @property
    def standing(self) -> str:
        """One of ``off``, ``hold`` or nothing: a poster may not send people in vain."""
        if self.gathering.is_called_off:
            return "off"
        return "hold" if self.line.is_on_hold else ""


def poster(gathering: Gathering) -> Poster:
    """Return a gathering as its poster tells of it: two queries."""
    return Poster(gathering_lines([gathering])[0])
