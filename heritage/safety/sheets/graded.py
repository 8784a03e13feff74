"""Say at the foot of a sheet how hard it is to read."""

from collections.abc import Iterator, Sequence

from django.utils.translation import gettext as _

from heritage.kits import paper
from heritage.safety.selectors import ease_of_lines


def graded(blocks: Sequence[paper.Block]) -> list[paper.Block]:
    """Return a sheet's blocks with their reading grade after them, if they have one."""
    ease = ease_of_lines(_prose(blocks))
    return [*blocks, paper.Para(ease.words)] if ease else [*blocks]


def graded_alone(
    blocks: Sequence[paper.Block], *, fixed: Sequence[str]
) -> list[paper.Block]:
    """Return a sheet's blocks with the reading grade of its fixed words after them.

    For a sheet that is filled in by whoever was there, in haste: their words are
    theirs, and a grade of them would say nothing of the sheet.
    """
    ease = ease_of_lines(fixed)
    if ease is None:
        return [*blocks]
    ours = _("%(grade)s Graded: our fixed words alone.") % {"grade": ease.words}
    return [*blocks, paper.Para(ours)]


def _prose(blocks: Sequence[paper.Block]) -> Iterator[str]:
    """Yield what is read as sentences; names and figures in tables are not."""
    for block in blocks:
        match block:
            case paper.Together(inner):
                yield from _prose(inner)
            case paper.Steps(items) | paper.Bullets(items):
                yield from items
            case paper.Caution(text=text) | paper.Para(text=text):
                yield text
