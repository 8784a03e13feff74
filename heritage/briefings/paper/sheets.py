"""Say at the foot of a sheet how hard it is to read."""

from collections.abc import Iterator, Sequence

from django.utils.translation import gettext as _

from heritage.briefings.selectors import ease_of_lines, stop_rules
from heritage.kits.paper import blocks as paper


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


def stop_blocks() -> list[paper.Block]:
    """Return the rules on stopping as one short part of a sheet.

    Anybody may call it, thunder, light, and everybody out.
    """
    points = paper.Bullets(stop_rules())
    return [paper.Together([paper.Heading(_("When we stop")), points])]


def stop_caution() -> paper.Block:
    """Return the rules on stopping as one panel, where room is short."""
    return paper.Caution("mandatory", " ".join(stop_rules()), word=_("When we stop"))
