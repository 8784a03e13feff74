"""How hard a briefing is to read."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from heritage.calc.readability import Reading, reading, warnings
from heritage.safety.selectors.parts import FIELDS


@dataclass(frozen=True, slots=True)
class Ease:
    """A briefing's reading grade in words, and what would make it easier."""

    read: Reading
    warnings: tuple[str, ...]

    @property
    def words(self) -> str:
        """The grade and the length of its sentences."""
        said = _("Reading grade %(grade).1f; sentences average %(words).0f words.")
        return said % {
            "grade": self.read.grade,
            "words": self.read.words_per_sentence,
        }


def ease_of(content: Mapping[str, Any]) -> Ease | None:
    """Return how hard the words of a briefing are to read; None without words."""
    hazards = content.get("hazards", [])
    most = max([len(hazard["controls"]) for hazard in hazards], default=0)
    most = max(most, len(content.get("stop_rules", [])))
    return ease_of_lines(_lines(content), most)


def ease_of_lines(lines: Iterable[str], most: int = 0) -> Ease | None:
    """Return how hard some lines are to read, with at most ``most`` points a card."""
    text = "\n".join(lines)
    found = reading(text)
    return Ease(found, warnings(text, most)) if found else None


def _lines(content: Mapping[str, Any]) -> Iterator[str]:
    yield from (content[name] for name in FIELDS if content.get(name))
    yield from (caution["text"] for caution in content.get("cautions", []))
    yield from content.get("stop_rules", [])
    for hazard in content.get("hazards", []):
        yield from (hazard["title"], hazard["harm"], *hazard["controls"])
